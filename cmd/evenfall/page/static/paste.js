// Many readings at once: a column from a spreadsheet or a note, with a preview
// of which goes where before anything is kept.

import { h, openSheet, put, scroller, table } from "./dom.js";
import { isRead, withUnit } from "./walk.js";

/** valuesOf cuts a text into readings. Lines, tabs and semicolons part them;
 * within one line blanks do too, but not before a unit or tenths. */
export function valuesOf(text) {
  const pieces = text.split(/[\r\n\t;]+/).map((p) => p.trim()).filter(Boolean);
  if (pieces.length > 1) return pieces;
  const values = [];
  for (const piece of text.trim().split(/,\s+|\s+/).filter(Boolean)) {
    if (values.length > 0 && /^(\d\/10|lx|lux|klx|fc)$/i.test(piece)) values[values.length - 1] += ` ${piece}`;
    else values.push(piece);
  }
  return values;
}

/** placed says which value goes where. order is rest (the walk's places that are
 * not read, from here on), walk (all, in walking order) or rows (from the top,
 * from camera left). */
export function placed(values, order, { places, cells, here }) {
  const start = Math.max(0, places.findIndex((p) => p.label === here));
  const lists = {
    rest: () => [...places.slice(start), ...places.slice(0, start)].filter((p) => !isRead(cells[p.label])),
    walk: () => places,
    rows: () => [...places].sort((a, b) => (a.row ?? 0) - (b.row ?? 0) || (a.column ?? 0) - (b.column ?? 0)),
  };
  const list = lists[order]();
  return { pairs: list.slice(0, values.length).map((p, i) => ({ place: p, text: values[i] })), left: values.slice(list.length) };
}

/** openPaste asks for the readings and calls enter with {label, text} pairs. */
export function openPaste({ text = "", unit, places, cells, here, lamp, enter }) {
  const area = h("textarea", { id: "paste-text", rows: "3", spellcheck: "false", autocomplete: "off" });
  area.value = text;
  const order = h("select", { id: "paste-order" },
    h("option", { value: "rest" }, "places not read, in walking order"),
    h("option", { value: "walk" }, "all places, in walking order"),
    h("option", { value: "rows" }, "row by row from the top, from camera left"));
  const sum = h("p", { class: "note", role: "status" });
  const where = scroller("Which reading goes where");
  const go = h("button", { type: "button", class: "primary" }, "Enter");
  let pairs = [];

  function preview() {
    const found = placed(valuesOf(area.value), order.value, { places, cells, here });
    pairs = found.pairs;
    const replaced = pairs.filter((p) => isRead(cells[p.place.label])).length;
    const parts = [`${pairs.length} of ${places.length} places get a reading`];
    if (replaced > 0) parts.push(`${replaced} replaced`);
    if (found.left.length > 0) parts.push(`${found.left.length} too many: ${found.left.slice(0, 3).join(", ")}${found.left.length > 3 ? " …" : ""}`);
    sum.textContent = parts.join("; ") + ".";
    put(where, table({ head: ["Place", "Reading", "Where"], rows: pairs.map(({ place, text }) => {
      const cell = cells[place.label];
      return [place.label, withUnit(text, unit), isRead(cell) ? `replaces ${cell.shown ?? cell.text}` : place.words];
    }) }));
    go.disabled = pairs.length === 0 || found.left.length > 0;
    go.textContent = `Enter ${pairs.length}`;
  }

  area.addEventListener("input", preview);
  order.addEventListener("change", preview);
  go.addEventListener("click", () => {
    dialog.close();
    enter(pairs.map(({ place, text }) => ({ label: place.label, text })));
  });
  preview();
  const dialog = openSheet("paste-title", "Paste readings",
    h("label", { for: "paste-text" }, `Readings for ${lamp}, one a line`), area,
    h("label", { for: "paste-order" }, "They go to"), order, sum,
    h("div", { class: "lines" }, go), where);
  area.focus();
}
