// What the readings say so far: the map, the verdict in words, and where the next
// reading would help most. All of it comes from the program; nothing is computed
// here.

import { answerWords } from "./answer.js";
import { surveyPath } from "./api.js";
import { changed, h, put, scroller, setText, table } from "./dom.js";
import { isRead, lampNamed } from "./walk.js";

const phone = matchMedia("(max-width: 899px)");
const kinds = { level: "Level", mired: "Warm–cool", duv: "Green–magenta", uv: "Color diagram" };

/** livePanel makes the panel of a survey v; jump goes to a place. */
export function livePanel(v, { jump }) {
  let kind = "level";
  const sofar = h("p", { class: "note" });
  const answer = answerWords();
  const waiting = h("p", { class: "note" });
  const chooser = h("div", { class: "lamps", role: "group", "aria-label": "Kind of map" });
  const picture = h("img", { class: "map", alt: "" });
  const figure = h("figure", { hidden: true, tabindex: "0", role: "group", "aria-label": "Map" }, picture);
  const larger = h("button", { type: "button", "aria-pressed": "false", onclick: () => {
    larger.setAttribute("aria-pressed", String(figure.classList.toggle("large")));
    showMap();
  } }, "With scale and notes");
  const help = h("div", { class: "lines" });
  const readings = scroller("Readings as a table");
  const details = h("details", { ontoggle: () => showTable() }, h("summary", {}, "Readings as a table"), readings);
  const links = h("nav", { class: "lines", "aria-label": "Take with you" });
  const node = h("section", { class: "live", "aria-label": "Result" },
    waiting, sofar, answer.verdict, help, chooser, figure, h("div", { class: "lines enlarge" }, larger), answer.rest, details, links);

  // The last picture is shown until the new one has loaded, so that nothing flashes.
  function showMap() {
    const maps = v.state.maps ?? [];
    const map = maps.find((m) => m.kind === kind) ?? maps[0];
    figure.hidden = larger.hidden = !map;
    if (!map) return;
    // A phone gets the map alone, with type that can be read there.
    const url = phone.matches && !figure.classList.contains("large") ? `${map.url}&narrow=1` : map.url;
    if (picture.dataset.url === url) return;
    picture.dataset.url = url;
    const loading = new Image();
    loading.onload = () => {
      if (picture.dataset.url !== url) return;
      picture.src = url;
      picture.alt = map.alt;
    };
    loading.onerror = () => delete picture.dataset.url;
    loading.src = url;
  }
  phone.addEventListener("change", showMap);

  function showKinds() {
    const maps = v.state.maps ?? [];
    chooser.hidden = maps.length < 2;
    if (changed(chooser, [maps.map((m) => m.kind), kind])) put(chooser, maps.map((m) =>
      h("button", { type: "button", "aria-pressed": String(m.kind === kind), onclick: () => { kind = m.kind; render(); } }, kinds[m.kind] ?? m.title)));
  }

  function showWords() {
    const words = v.state.result_words ?? [];
    setText(waiting, words.length ? "" : (v.state.why_no_result || "No reading yet."));
    waiting.hidden = words.length > 0;
    const { read = 0, of = 0 } = v.state.progress?.[""] ?? {};
    setText(sofar, words.length > 0 && read < of ? `So far, from ${read} of ${of} places:` : "");
    if (changed(answer.rest, words)) answer.show(words);
  }

  function showHelp() {
    const next = v.state.next?.[""];
    if (changed(help, next)) put(help, next?.label && h("button", { type: "button", class: "notice-next", onclick: () => jump(next.label, "") },
      h("b", {}, `Next best: ${next.label}`), ` ${[next.words, next.why].filter(Boolean).join("; ")}`));
  }

  function showTable() {
    if (!details.open) return;
    const s = v.state;
    const read = s.lamps.flatMap((lamp) => s.places.map((p) => ({ lamp, p, cell: v.cells[lamp]?.[p.label] })).filter((r) => isRead(r.cell)));
    if (!changed(readings, read.map((r) => [r.lamp, r.p.label, r.cell]))) return;
    if (read.length === 0) return put(readings, h("p", { class: "note" }, "Nothing is read yet."));
    const all = (of) => ({ cell }) => [cell, ...(cell.repeats ?? [])].map(of).filter(Boolean).join(", then ");
    const color = read.some((r) => r.cell.cct_k);
    const columns = [
      ["Place", (r) => r.p.label], s.lamps.length > 1 && ["Lamp", (r) => lampNamed(r.lamp)], ["Reading", all((r) => r.shown ?? r.text)],
      color && ["K", all((r) => r.cct_k && String(r.cct_k))], color && ["Green–magenta", all((r) => String(r.cc || r.duv || ""))], ["Where", (r) => r.p.words],
    ].filter(Boolean);
    put(readings, table({ title: `${s.title || v.name}: what was read`, head: columns.map(([name]) => name), rows: read.map((r) => columns.map(([, of]) => of(r))) }));
  }

  function showLinks() {
    const drawn = (v.state.maps ?? []).length > 0;
    if (changed(links, [v.folder?.report ?? false, drawn])) put(links,
      h("a", { class: "button", href: `/files/${encodeURIComponent(v.name)}`, download: "" }, "CSV"),
      drawn && h("a", { class: "button", href: surveyPath(v.name, "/picture.png"), download: "" }, "Picture"),
      v.folder?.report && h("a", { class: "button", href: "/report", target: "_blank" }, "Report"));
  }

  function render() {
    showWords();
    showHelp();
    showKinds();
    showMap();
    showTable();
    showLinks();
  }

  return { node, render, leave: () => phone.removeEventListener("change", showMap) };
}
