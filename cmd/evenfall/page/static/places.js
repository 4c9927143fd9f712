// The map of places: what is read, what is next, which are open, said by text and shape as
// well as by color. A tap goes there; of many columns on a phone the whole is one control,
// since its cells are smaller than a thumb.

import { h, keepFocus, openSheet, setAttributes, setText } from "./dom.js";
import { isRead } from "./walk.js";

const wide = matchMedia("(min-width: 900px)");
const mostColumns = 3; // that a thumb can tell apart on a phone
const mostWide = 24; // that a pointer can at a desk, and that have room for a text on a phone

/** placesGrid makes the map; jump is called with the label that was tapped, goTo opens the
 * list of places. */
export function placesGrid(jump, goTo) {
  const sides = h("p", { class: "sides", "aria-hidden": "true" }, h("span", {}, "← camera left"), h("span", {}, "camera right →"));
  const node = h("div", { class: "map" });
  let cellsOf = new Map();
  let made = "";
  let places = null;
  let shown = null;

  function make(state) {
    const most = (of, at) => Math.max(state.places.some((p) => p.column) ? (of ?? 0) : 0, ...state.places.map((p) => p[at] ?? 0));
    const columns = most(state.columns, "column");
    const one = columns > (wide.matches ? mostWide : mostColumns);
    const tiny = columns > mostWide; // a color a place
    const key = `${one} ${state.places.map((p) => p.label).join(" ")}`;
    if (key === made) return;
    made = key;
    cellsOf = new Map();
    const grid = columns > 0 && state.places.every((p) => p.column);
    // Row by row, as the eye reads and the Tab key goes, whatever the walk is.
    const order = grid ? [...state.places].sort((a, b) => a.row - b.row || a.column - b.column) : state.places;
    const cells = order.map((p) => {
      const parts = tiny ? [] : [h("b", {}, p.label), h("span", {}), h("i", { class: "unseen" })];
      const cell = one ? h("div", {}, parts) : keepFocus(h("button", { type: "button", onclick: () => jump(p.label) }, parts));
      if (grid) {
        cell.style.gridColumn = p.column;
        cell.style.gridRow = p.row;
      }
      cellsOf.set(p.label, { cell, value: parts[1], aloud: parts[2], place: p });
      return cell;
    });
    // The whole as one is for a pointer: a keyboard has Go to.
    places = h("div", { class: one ? "places one" : "places", role: "group", "aria-label": "Places" }, cells);
    if (one) keepFocus(places).addEventListener("click", goTo);
    places.classList.toggle("free", !grid);
    places.style.setProperty("--columns", columns || 1);
    node.style.setProperty("--rows", Math.max(1, most(state.rows, "row")));
    node.replaceChildren(places, sides);
    sides.hidden = !grid;
  }

  function show(state, of, here = "") {
    shown = [state, of, here];
    make(state);
    for (const [label, at] of cellsOf) {
      const { cell, value, aloud, place } = at;
      const { text, marks, said } = of(label, place);
      // Of thousands of places few are other than before.
      const stop = label === (here || state.places[0].label);
      const is = [text, said, marks, label === here, stop].join("\n");
      if (is === at.is) continue;
      at.is = is;
      if (value) setText(value, text);
      setAttributes(cell, {
        class: marks.join(" ") || null,
        "aria-current": label === here ? "step" : null,
        // One stop of the Tab key; the arrows go from place to place.
        tabindex: cell.tagName === "BUTTON" ? (stop ? 0 : -1) : null,
      });
      if (aloud) setText(aloud, ` ${said}`);
    }
  }

  // A phone that is turned, or a window made narrow, has other cells at once.
  wide.addEventListener("change", () => node.isConnected && shown && show(...shown));
  return {
    node,
    /** show gives each place its text and its marks: show(state, (label, place) => ({text, marks, aloud})). */
    show,
  };
}

/** readingOf says what the map shows of a place while readings are entered. */
export function readingOf(cell, { state, open, skipped, helpful, held = new Map(), label, place }) {
  const marks = [];
  const said = [place.words];
  const read = isRead(cell);
  if (read) {
    marks.push("done");
    said.push(cell.shown ?? cell.text);
  } else said.push(cell?.again ? "to be read again" : skipped.has(label) ? "skipped" : "not read");
  if (cell?.repeats?.length) said.push(`and ${cell.repeats.length} more`);
  if (cell?.flicker === "yes") said.push("flickers");
  if (cell?.waiting) marks.push("waiting");
  if (open.has(label)) marks.push(open.get(label));
  if (label === state.reference?.label) marks.push("reference");
  if (label === helpful) marks.push("helpful");
  const by = held.get(label);
  if (by) {
    marks.push("held");
    said.push(`${by} is there`);
  }
  return { text: read ? `${brief(cell.text)}${cell.flicker === "yes" ? " ~" : ""}` : by ? (by === "you" ? by : "held") : skipped.has(label) ? "skip" : "·", marks, said: [...said, ...marks].filter(Boolean).join(", ") };
}

/** openGoTo lists the places in a sheet. */
export function openGoTo(state, of, jump) {
  const columns = Math.max(0, ...state.places.map((p) => p.column ?? 0));
  const go = (label) => () => (dialog.close(), jump(label));
  const order = columns ? [...state.places].sort((a, b) => (a.row ?? 0) - (b.row ?? 0) || (a.column ?? 0) - (b.column ?? 0)) : state.places;
  const cells = order.map((p) => h("button", { type: "button", class: of(p.label, p).marks.join(" "), onclick: go(p.label), "aria-label": `${p.label}, ${of(p.label, p).said}` }, h("b", {}, p.label), h("span", {}, of(p.label, p).text)));
  const reference = state.reference?.label;
  const list = h("div", { class: `places list${columns ? "" : " free"}`, tabindex: "0", role: "group", "aria-label": "Places" }, cells);
  list.style.setProperty("--columns", columns || 1);
  const dialog = openSheet("go-to", "Go to",
    reference && h("div", { class: "lines" }, h("button", { type: "button", onclick: go(reference) }, `◆ ${reference}, the reference`)),
    list);
}

const small = "⁰¹²³⁴⁵⁶⁷⁸⁹";

// brief is a level that fits a small cell.
function brief(text) {
  const [, mark, tenth] = /^(?:f\/)?(\S+) (\d)\/10$/.exec(text) ?? [];
  const short = mark ? mark + small[tenth] : text.replace(/\s+|lx$/g, "");
  return short.length > 6 ? "✓" : short;
}
