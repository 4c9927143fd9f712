// The keypad: digits under the thumb, and the keys that the current field needs next to them
// them. Keys of the hand's own column stand on its side.

import { h, keepFocus, put } from "./dom.js";

const digits = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];
const marks = ["1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32"];

// Each key: its label, its action, its position. Columns 1 to 3 are the
// digits', 4 is the hand's own.
function numbers(extra, side, fraction = ".") {
  return [
    ...digits.map((d, i) => ({ cap: d, type: d, column: (i % 3) + 1, row: Math.floor(i / 3) + 1 })),
    { cap: fraction, name: "point", type: fraction, column: 1, row: 4 },
    { cap: "0", type: "0", column: 2, row: 4 },
    { ...side, column: 3, row: 4 },
    { cap: "⌫", name: "⌫ delete the last character", act: "back", column: 4, row: 1, quiet: true },
    { ...extra, column: 4, row: 2 },
    { cap: "Next", act: "next", column: 4, row: 3, tall: true },
  ];
}

const layouts = {
  level: (unit) =>
    numbers({ cap: "k", name: "k, thousand", type: "k" }, unit ? { cap: unit, name: `to ${unit}`, act: "unit", quiet: true } : { cap: "00", type: "00" }),
  number: () => numbers({ cap: "n/10", name: "n/10, tenths follow", type: " ", quiet: true }, { cap: "marks", act: "marks", quiet: true }),
  kelvin: () => numbers({ cap: "00", type: "00" }, { cap: "K", act: "none", quiet: true }),
  tint: () => numbers({ cap: "+ −", name: "+ −, change the sign", act: "sign", quiet: true }, { cap: "M G", name: "M G, needs magenta or green", act: "needs", quiet: true }),
  marks: () => [
    ...marks.map((m, i) => ({ cap: m, name: `f ${m}`, mark: m, column: (i % 5) + 1, row: Math.floor(i / 5) + 1 })),
    ...[...Array(10).keys()].map((t) => ({ cap: `${t}/10`, tenth: t, column: (t % 5) + 1, row: Math.floor(t / 5) + 3, quiet: true })),
    { cap: "digits", act: "digits", column: 1, row: 5, quiet: true },
    { cap: "⌫", name: "⌫ delete the last character", act: "back", column: 2, row: 5, quiet: true },
    { cap: "Next", act: "next", column: 3, row: 5, wide: true },
  ],
};

/** keypad makes the pad; press is called with each key. show changes its layout. */
export function keypad(press) {
  const node = h("div", { class: "pad", role: "group", "aria-label": "Keypad" });
  let shown = "";
  return {
    node,
    show(layout, unit = "") {
      if (shown === layout + unit) return;
      shown = layout + unit;
      node.dataset.layout = layout === "marks" ? "marks" : "digits";
      put(node, layouts[layout](unit).filter((k) => k.act !== "none").map((k) => button(k, press)));
    },
  };
}

function button(key, press) {
  const classes = [`c${key.column}`, `r${key.row}`, key.tall && "tall", key.wide && "wide", key.quiet && "quiet", key.act === "next" && "next"];
  return keepFocus(
    h("button", { type: "button", class: classes.filter(Boolean).join(" "), "aria-label": key.name ?? null, onclick: () => press(key) }, key.cap),
  );
}

/** typeInto puts a text at the caret of a field. */
export function typeInto(field, text) {
  field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  field.dispatchEvent(new Event("input"));
}

/** back deletes what is selected, or the character before the caret. */
export function back(field) {
  if (field.selectionStart === field.selectionEnd && field.selectionStart > 0) {
    field.setSelectionRange(field.selectionStart - 1, field.selectionEnd);
  }
  field.setRangeText("");
  field.dispatchEvent(new Event("input"));
}

/** typeOver and setTenth build "5.6 7/10" of a mark and tenths. */
export function typeOver(field, text) {
  field.value = text;
  field.dispatchEvent(new Event("input"));
}

export function setTenth(field, tenth) {
  const mark = field.value.trim().split(/\s+/)[0];
  if (mark) typeOver(field, tenth === 0 ? mark : `${mark} ${tenth}/10`);
}

/** wholeNumber completes what was typed for an f-number: "5.6 7" is 5.6 7/10. */
export function wholeNumber(text) {
  return text.trim().replace(/^(\S+)\s+(\d)$/, (_, mark, tenth) => (tenth === "0" ? mark : `${mark} ${tenth}/10`));
}

/** changeSign turns a Duv around; changeNeeds goes from a Duv to needs M, needs G
 * and back. */
export function changeSign(field) {
  typeOver(field, field.value.startsWith("-") ? field.value.slice(1) : `-${field.value}`);
}

export function changeNeeds(field) {
  const amount = field.value.replace(/[^\d.,]/g, "");
  const now = /M$/.test(field.value) ? "M" : /G$/.test(field.value) ? "G" : "";
  typeOver(field, { "": `needs ${amount}M`, M: `needs ${amount}G`, G: amount }[now]);
  if (now !== "G") field.setSelectionRange(field.value.length - 1, field.value.length - 1);
}
