// The keypad: digits under the thumb, and the keys that the current field needs beside
// them. Next is a bar below, so that it is always in the same place.

import { h, keepFocus, put } from "./dom.js";

const digits = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];
const marks = ["1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32"];
const back = { cap: "⌫", name: "⌫ delete the last character", act: "back", quiet: true };
const note = { cap: "✎", name: "✎ a note on this reading", act: "note", quiet: true };

// numbers is three columns of digits, and one of the hand's own.
function numbers(right, corner) {
  const rows = [0, 3, 6].map((from, i) => [...digits.slice(from, from + 3).map(typed), right[i]]);
  return [...rows, [typed("."), typed("0"), corner, note]].flat();
}

const typed = (d) => ({ cap: d, type: d, name: d === "." ? "point" : null });

const layouts = {
  level: (unit) => numbers([back, unit ? { cap: unit, name: `to ${unit}`, act: "unit", quiet: true } : typed("00"), { cap: "k", name: "k, thousand", type: "k" }], typed("00")),
  number: () => numbers([back, { cap: "n/10", name: "n/10, tenths follow", type: " ", quiet: true }, { cap: "marks", act: "marks", quiet: true }], typed("00")),
  color: () => numbers([back, { cap: "+", name: "+ Duv, greener", act: "plus", quiet: true }, { cap: "−", name: "− Duv, toward magenta", act: "minus", quiet: true }], typed("00")),
  tint: () => numbers([back, { cap: "+ −", name: "+ −, change the sign", act: "sign", quiet: true }, { cap: "M G", name: "M G, needs magenta or green", act: "needs", quiet: true }], typed("00")),
  marks: () => [
    ...marks.map((m) => ({ cap: m, name: `f ${m}`, mark: m })),
    ...[...Array(10).keys()].map((t) => ({ cap: `${t}/10`, tenth: t, quiet: true })),
    back, { cap: "123", name: "123, digits", act: "digits", quiet: true },
  ],
};

// The last two digits of a color temperature, from the last one that was read.
const kelvins = [
  ...["00", "10", "20", "30", "40"].map((k) => ({ cap: k, name: `${k} kelvin`, kelvin: k, quiet: true })), { cap: "+100", name: "100 kelvin more", step: 100, quiet: true },
  { cap: "same", name: "the same kelvin as before", act: "same", quiet: true },
  ...["50", "60", "70", "80", "90"].map((k) => ({ cap: k, name: `${k} kelvin`, kelvin: k, quiet: true })), { cap: "−100", name: "100 kelvin less", step: -100, quiet: true },
  { cap: "K", name: "K, type the kelvin in full", act: "kelvin", quiet: true },
];

/** keypad makes the pad; press is called with each key. show changes its layout, next what
 * its bar says. */
export function keypad(press) {
  const quick = h("div", { class: "kelvins", role: "group", "aria-label": "Last two digits of the kelvin", hidden: true });
  const keys = h("div", { class: "digits" });
  const bar = keepFocus(h("button", { type: "button", class: "next", onclick: () => press({ act: "next" }) }, h("b", {}, "Next"), h("small", {})));
  const node = h("div", { class: "pad", role: "group", "aria-label": "Keypad" }, quick, keys, bar);
  put(quick, kelvins.map((k) => keyButton(k, press)));
  let shown = "";
  return {
    node,
    show(layout, unit = "", color = false) {
      quick.hidden = !color;
      if (shown === layout + unit) return;
      shown = layout + unit;
      node.dataset.layout = layout === "marks" ? "marks" : "digits";
      put(keys, layouts[layout](unit).map((k) => keyButton(k, press)));
    },
    next(text, below) {
      if (bar.firstChild.textContent !== text) bar.firstChild.textContent = text;
      if (bar.lastChild.textContent !== below) bar.lastChild.textContent = below;
    },
  };
}

const keyButton = (key, press) => keepFocus(h("button", { type: "button", class: key.quiet ? "quiet" : null,
  "aria-label": key.name ?? null, onclick: () => press(key) }, key.cap));

/** typeInto puts a text at the caret of a field. */
export function typeInto(field, text) {
  field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  field.dispatchEvent(new Event("input"));
}

/** backspace deletes what is selected, or the character before the caret. */
export function backspace(field) {
  if (field.selectionStart === field.selectionEnd && field.selectionStart > 0) {
    field.setSelectionRange(field.selectionStart - 1, field.selectionEnd);
  }
  field.setRangeText("");
  field.dispatchEvent(new Event("input"));
}

/** typeOver gives a field another text. */
export function typeOver(field, text) {
  field.value = text;
  field.dispatchEvent(new Event("input"));
}

/** setTenth builds "5.6 7/10" of a mark and tenths; false without a mark. */
export function setTenth(field, tenth) {
  const mark = field.value.trim().split(/\s+/)[0];
  if (mark) typeOver(field, tenth === 0 ? mark : `${mark} ${tenth}/10`);
  return Boolean(mark);
}

/** wholeNumber completes what was typed for an f-number: "5.6 7" is 5.6 7/10. */
export function wholeNumber(text) {
  return text.trim().replace(/^(\S+)\s+(\d)$/, (_, mark, tenth) => (tenth === "0" ? mark : `${mark} ${tenth}/10`));
}

/** changeSign turns a Duv around; changeNeeds goes from a Duv to needs M, needs G
 * and back. */
export function changeSign(field) {
  typeOver(field, field.value.startsWith("-") ? `+${field.value.slice(1)}` : `-${field.value.replace(/^\+/, "")}`);
}

export function changeNeeds(field) {
  const amount = field.value.replace(/[^\d.,]/g, "").replace(/^0\.0+/, "");
  const now = /M$/.test(field.value) ? "M" : /G$/.test(field.value) ? "G" : "";
  typeOver(field, { "": `needs ${amount}M`, M: `needs ${amount}G`, G: amount }[now]);
  if (now !== "G") field.setSelectionRange(field.value.length - 1, field.value.length - 1);
}
