// What the readings say so far: the map, the verdict in words, and where the next
// reading would help most. All of it comes from the program; nothing is computed
// here.

import { surveyPath } from "./api.js";
import { h, setText } from "./dom.js";
import { isRead, lampNamed } from "./walk.js";

const phone = matchMedia("(max-width: 899px)");
const kinds = { level: "Level", mired: "Warm–cool", duv: "Green–magenta", uv: "Color diagram" };

/** livePanel makes the panel of a survey v; jump goes to a place. */
export function livePanel(v, { jump }) {
  let kind = "level";
  let lines = "";
  let rows = "";
  const sofar = h("p", { class: "note" });
  const verdict = h("p", { class: "verdict" });
  const answer = h("dl", { class: "answer" });
  const waiting = h("p", { class: "note" });
  const chooser = h("div", { class: "lamps", role: "group", "aria-label": "Kind of map" });
  const picture = h("img", { class: "map", alt: "" });
  const figure = h("figure", { hidden: true, tabindex: "0", role: "group", "aria-label": "Map" }, picture);
  const larger = h("button", { type: "button", "aria-pressed": "false", onclick: () => {
    larger.setAttribute("aria-pressed", String(figure.classList.toggle("large")));
    showMap();
  } }, "With scale and notes");
  const help = h("div", { class: "lines" });
  const table = h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Readings as a table" });
  const details = h("details", { ontoggle: () => showTable() }, h("summary", {}, "Readings as a table"), table);
  const links = h("nav", { class: "lines", "aria-label": "Take with you" });
  const node = h("section", { class: "live", "aria-label": "Result" },
    waiting, sofar, verdict, help, chooser, figure, h("div", { class: "lines enlarge" }, larger), answer, details, links);

  // The last picture stands until the new one has come, so that nothing flashes.
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
    const key = maps.map((m) => m.kind).join() + kind;
    chooser.hidden = maps.length < 2;
    if (chooser.dataset.key === key) return;
    chooser.dataset.key = key;
    chooser.replaceChildren(...maps.map((m) =>
      h("button", { type: "button", "aria-pressed": String(m.kind === kind), onclick: () => { kind = m.kind; render(); } }, kinds[m.kind] ?? m.title)));
  }

  function showWords() {
    const words = v.state.result_words ?? [];
    const key = JSON.stringify(words);
    setText(waiting, words.length ? "" : (v.state.why_no_result || "No reading yet."));
    waiting.hidden = words.length > 0;
    const { read = 0, of = 0 } = v.state.progress?.[""] ?? {};
    setText(sofar, words.length > 0 && read < of ? `So far, from ${read} of ${of} places:` : "");
    if (key === lines) return;
    lines = key;
    const [first, ...rest] = words;
    verdict.replaceChildren(...(first ? [h("b", {}, first.key), ` ${first.text}`] : []));
    answer.replaceChildren(...rest.flatMap((w, i) => [w.key && w.key !== rest[i - 1]?.key && h("dt", {}, w.key), h("dd", {}, w.text)]).filter(Boolean));
  }

  function showHelp() {
    const next = v.state.next?.[""];
    const key = JSON.stringify(next ?? null);
    if (help.dataset.key === key) return;
    help.dataset.key = key;
    help.replaceChildren(...(next?.label ? [h("button", { type: "button", class: "told-next", onclick: () => jump(next.label, "") },
      h("b", {}, `Next best: ${next.label}`), ` ${[next.words, next.why].filter(Boolean).join("; ")}`)] : []));
  }

  function showTable() {
    if (!details.open) return;
    const s = v.state;
    const read = s.lamps.flatMap((lamp) => s.places.map((p) => ({ lamp, p, cell: v.cells[lamp]?.[p.label] })).filter((r) => isRead(r.cell)));
    const key = JSON.stringify(read.map((r) => [r.lamp, r.p.label, r.cell]));
    if (key === rows) return;
    rows = key;
    if (read.length === 0) return table.replaceChildren(h("p", { class: "note" }, "Nothing is read yet."));
    const color = read.some((r) => r.cell.cct_k);
    const lamps = s.lamps.length > 1;
    const all = (cell, of) => [cell, ...(cell.repeats ?? [])].map(of).filter(Boolean).join(", then ");
    table.replaceChildren(h("table", {},
      h("caption", {}, `${s.title || v.name}: what was read`),
      h("thead", {}, h("tr", {}, ["Place", lamps && "Lamp", "Reading", color && "K", color && "Green–magenta", "Where"].filter(Boolean).map((t) => h("th", { scope: "col" }, t)))),
      h("tbody", {}, read.map(({ lamp, p, cell }) => h("tr", {},
        h("th", { scope: "row" }, p.label), lamps && h("td", {}, lampNamed(lamp)),
        h("td", {}, all(cell, (r) => r.shown ?? r.text)),
        color && h("td", {}, all(cell, (r) => r.cct_k && String(r.cct_k))), color && h("td", {}, all(cell, (r) => String(r.cc || r.duv || ""))),
        h("td", {}, p.words))))));
  }

  function showLinks() {
    const name = encodeURIComponent(v.name);
    const key = JSON.stringify([v.folder?.report ?? false, (v.state.maps ?? []).length > 0]);
    if (links.dataset.key === key) return;
    links.dataset.key = key;
    links.replaceChildren(...[
      h("a", { class: "button", href: `/files/${name}`, download: "" }, "CSV"),
      (v.state.maps ?? []).length > 0 && h("a", { class: "button", href: surveyPath(v.name, "/picture.png"), download: "" }, "Picture"),
      v.folder?.report && h("a", { class: "button", href: "/report", target: "_blank" }, "Report"),
    ].filter(Boolean));
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
