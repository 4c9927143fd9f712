// What the readings say: the one thing to do, the verdict, the ruler and a map on which ink
// means out of tolerance; the rest is folded. All of it comes from the program.

import { answerWords } from "./answer.js";
import { surveyPath, textOf } from "./api.js";
import { changed, h, put, scroller, setText, table } from "./dom.js";
import { beginTrim } from "./trim.js";
import { placesGrid } from "./places.js";
import { stopRuler, verdictLines } from "./ruler.js";
import { isRead, lampNamed, onFromLast } from "./walk.js";

const phone = matchMedia("(max-width: 899px)");
const kinds = { level: "Level", mired: "Warm–cool", duv: "Green–magenta", uv: "Color diagram" };
const standSigns = { over: "▲", under: "▼", edge: "≈", within: "·" };

/** resultPanel makes the parts of a survey v; jump goes to a place, read back to reading. */
export function resultPanel(v, { jump, read }) {
  let kind = "level";
  const todo = h("h2", { class: "todo" });
  const more = h("p", { class: "why" });
  const verdicts = verdictLines();
  const ruler = stopRuler();
  const grid = placesGrid((to) => jump(to), read);
  const legend = h("p", { class: "legend" });
  const answer = answerWords();
  const chooser = h("div", { class: "lamps", role: "group", "aria-label": "Kind of map" });
  const picture = h("img", { class: "picture", alt: "" });
  const figure = h("figure", { hidden: true, tabindex: "0", role: "group", "aria-label": "Map" }, picture);
  const readings = scroller("Readings as a table");
  const why = h("details", {}, h("summary", {}, "Why, and how sure"), answer.verdict, answer.rest);
  const tables = h("div", {});
  const drawn = h("details", { ontoggle: () => showMap() }, h("summary", {}, "Maps as pictures"), chooser, figure);
  const details = h("details", { ontoggle: () => showTable() }, h("summary", {}, "Readings as a table"), readings);
  const parts = {
    ask: h("div", { class: "ask", role: "group", "aria-label": "To do" }, h("p", { class: "small" }, "Do this one thing"), todo, more),
    stage: h("section", { class: "stage result", "aria-label": "Result", tabindex: "0" }, verdicts.node, ruler.node, tables, grid.node, legend, why, drawn, details),
    keys: h("nav", { class: "keys actions", "aria-label": "Take with you" }),
  };

  // The last picture is shown until the new one has loaded, so that nothing flashes: not
  // in another theme, where it would.
  let shown = "";
  function showMap() {
    const maps = v.state.maps ?? [];
    const map = maps.find((m) => m.kind === kind) ?? maps[0];
    figure.hidden = !map;
    if (!map || !drawn.open) return;
    // A phone gets the map alone, with type that can be read there.
    const theme = document.documentElement.dataset.theme;
    const url = `${map.url}&theme=${theme}${phone.matches ? "&narrow=1" : ""}`;
    if (picture.dataset.url === url) return;
    picture.dataset.url = url;
    if (theme !== shown) picture.style.visibility = "hidden";
    const loading = new Image();
    loading.onload = () => {
      if (picture.dataset.url !== url) return;
      picture.src = url;
      picture.alt = map.alt;
      picture.style.visibility = "";
      shown = theme;
    };
    loading.onerror = () => delete picture.dataset.url;
    loading.src = url;
  }
  phone.addEventListener("change", showMap);
  document.addEventListener("setting", showMap);

  function showKinds() {
    const maps = v.state.maps ?? [];
    drawn.hidden = maps.length === 0;
    chooser.hidden = maps.length < 2;
    if (changed(chooser, [maps.map((m) => m.kind), kind])) put(chooser, maps.map((m) =>
      h("button", { type: "button", "aria-pressed": String(m.kind === kind), onclick: () => { kind = m.kind; render(); } }, kinds[m.kind] ?? m.title)));
  }

  function showTodo() {
    const [first, second] = toDo(v);
    setText(todo, first);
    setText(more, second.slice(0, 1).toUpperCase() + second.slice(1));
  }

  function showGrid() {
    const at = new Map((v.state.ruler?.ticks ?? []).map((t) => [t.label, t]));
    const { low = 0, high = 0 } = v.state.ruler ?? {};
    grid.node.hidden = legend.hidden = at.size === 0 || Boolean(v.state.lights);
    if (grid.node.hidden) return;
    grid.show(v.state, (label, place) => {
      const t = at.get(label);
      if (!t) return { text: "", marks: ["unread"], said: `${place.words}, not read` };
      const off = t.stops > high ? t.stops - high : t.stops < low ? t.stops - low : 0;
      const beyond = t.stands === "over" || t.stands === "under" ? `${off > 0 ? "+" : "−"}${Math.abs(off).toFixed(1)}`.replace(/^.0\.0$/, "") : "";
      return { text: t.in_shot ? standSigns[t.stands] + beyond : "", marks: [t.in_shot ? t.stands : "aside"], said: `${place.words}, ${t.in_shot ? t.stands : "not in shot"} ${beyond}` };
    });
    setText(legend, "▲ over, ▼ under what is allowed, in stops; ≈ at its edge; · within" + (v.state.area ? "; faint: not in shot" : ""));
  }

  function showTable() {
    if (!details.open) return;
    const s = v.state;
    const list = s.lamps.flatMap((lamp) => s.places.map((p) => ({ lamp, p, cell: v.cells[lamp]?.[p.label] })).filter((r) => isRead(r.cell)));
    if (!changed(readings, list.map((r) => [r.lamp, r.p.label, r.cell]))) return;
    if (list.length === 0) return put(readings, h("p", { class: "note" }, "Nothing is read yet."));
    const all = (of) => ({ cell }) => [cell, ...(cell.repeats ?? [])].map(of).filter(Boolean).join(", then ");
    const columns = [
      ["Place", (r) => r.p.label], s.lamps.length > 1 && [s.lights ? "Light" : "Lamp", (r) => lampNamed(r.lamp, s)], ["Reading", all((r) => r.shown ?? r.text)],
      list.some((r) => r.cell.cct_k) && ["K", all((r) => r.cct_k && String(r.cct_k))], list.some((r) => r.cell.cct_k) && ["Green–magenta", all((r) => String(r.cc || r.duv || ""))],
      list.some((r) => r.cell.note) && ["Note", all((r) => r.note)], ["Where", (r) => r.p.words],
    ].filter(Boolean);
    put(readings, table({ title: `${s.title || v.name}: what was read`, head: columns.map(([name]) => name), rows: list.map((r) => columns.map(([, of]) => of(r))) }));
  }

  function showActions() {
    const has = v.folder?.report ?? false;
    const maps = (v.state.maps ?? []).length > 0;
    const trim = v.state.editable && !v.state.lights && v.state.judgments?.[0]?.word === "FAIL" && !v.state.questions.length;
    if (changed(parts.keys, [has, maps, v.state.editable, trim])) put(parts.keys,
      trim && h("button", { type: "button", class: "primary wide", onclick: () => beginTrim(v.name).catch((error) => setText(more, textOf(error))) }, h("b", {}, "Do it, and watch"), h("small", {}, "read three places again while you trim")),
      has && h("a", { class: trim ? "button" : "button primary wide", href: reportOf(v.name) }, trim ? "Report" : "Hand over the report"),
      v.state.editable && h("button", { type: "button", onclick: read }, "Read on"),
      h("a", { class: "button", href: `/files/${encodeURIComponent(v.name)}`, download: "" }, "Save CSV"),
      maps && h("a", { class: "button", href: surveyPath(v.name, "/picture.png"), download: "" }, "Save picture"));
  }

  function render() {
    if (changed(answer.rest, v.state.result_words)) answer.show(v.state.result_words ?? []);
    if (changed(tables, v.state.tables)) put(tables, v.state.tables?.map((t) => scroller(t.Caption, table({ title: t.Caption, head: t.Rows[0], rows: t.Rows.slice(1) }))));
    why.hidden = !v.state.result_words?.length;
    showTodo();
    verdicts.show(v.state);
    ruler.show(v.state);
    showGrid();
    showKinds();
    showMap();
    showTable();
    showActions();
  }

  return { ...parts, render, leave: () => (phone.removeEventListener("change", showMap), document.removeEventListener("setting", showMap)) };
}

/** reportOf is the report's address, in the page's theme and with the way back. */
export const reportOf = (name) => `/report?theme=${document.documentElement.dataset.theme}&back=${encodeURIComponent(name)}`;

/** toDo is the one thing to do now and a sentence beside it. */
export function toDo(v) {
  const s = v.state;
  if (s.do) return s.do;
  const { read = 0, of = 0 } = s.progress?.[""] ?? {};
  // The first step is the one that the command prints of the same files.
  const step = s.result_words?.find(({ key }) => key === "do" || key === "to do")?.text.replace(/^1\. /, "") ?? "";
  const word = s.judgments?.[0]?.word;
  const questions = s.questions?.length ?? 0;
  if (!s.editable && !step) return [s.why_not || "Nothing to do here", ""];
  if (questions > 0) return [`Answer for ${s.questions[0].label}`, s.questions[0].text];
  if (word === "PASS" && read >= of) return ["Leave the lights; note where they stand", "Then hand the report over."];
  if (read < of && word !== "FAIL") return [`Read on: ${of - read} ${of - read === 1 ? "place" : "places"} to go`, s.places.filter((p) => p.label === onFromLast(s)).map((p) => `${p.label}, ${p.words}`).join()];
  const [first, ...rest] = step.split(/(?<=[.:]) /);
  return [first?.replace(/:$/, "") || "Read on", rest.join(" ")];
}
