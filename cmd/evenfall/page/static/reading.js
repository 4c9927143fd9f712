// The reading at hand: level, color where it is wanted, the unit, and the keypad
// that fills them.

import { h, keepFocus, setAttributes, setText } from "./dom.js";
import { back, changeNeeds, changeSign, keypad, setTenth, typeInto, typeOver, wholeNumber } from "./keypad.js";
import { unitNamed } from "./walk.js";

const otherUnit = { lx: "fc", fc: "lx" };

/** readingFields makes the fields and the pad of a survey in a unit. commit is
 * called when the reading is whole, missing when there is none, typed at each change. */
export function readingFields(home, { commit, missing, typed }) {
  let unit = home; // a cell may have its own
  let digits = home === "f" ? "marks" : "level";
  let color = false;
  const level = field("level", "Reading");
  const cct = field("cct", "K");
  const tint = field("tint", "G–M");
  const all = [level, cct, tint];
  const unitButton = keepFocus(h("button", { type: "button", class: "unit", onclick: changeUnit }));
  const node = h("div", { class: "fields" }, box(level, unitButton), box(cct), box(tint));
  const pad = keypad(press);
  let active = level;
  for (const f of all) {
    f.addEventListener("focus", () => {
      active = f;
      show();
    });
    f.addEventListener("input", typed);
  }

  function show(wanted = color) {
    color = wanted;
    node.classList.toggle("color", color);
    setText(unitButton, unitNamed(unit));
    setAttributes(unitButton, { disabled: otherUnit[unit] ? null : "", "aria-label": otherUnit[unit] ? `Unit ${unit}, change to ${otherUnit[unit]}` : `Unit ${unitNamed(unit)}` });
    if (active === cct) pad.show("kelvin");
    else if (active === tint) pad.show("tint");
    else pad.show(digits, digits === "level" ? (otherUnit[unit] ?? "") : "");
    for (const f of all) f.closest(".box").classList.toggle("at", f === active);
  }

  const acts = {
    back: () => back(active), next, unit: changeUnit, sign: () => changeSign(active), needs: () => changeNeeds(active),
    marks: () => turn("marks"), digits: () => turn("number"),
  };

  function press(k) {
    focus(active);
    if (k.type !== undefined) typeInto(active, k.type);
    else if (k.mark) typeOver(active, k.mark);
    else if (k.tenth !== undefined) setTenth(active, k.tenth);
    else acts[k.act]();
  }

  function turn(to) {
    digits = to;
    show();
  }

  function changeUnit() {
    if (otherUnit[unit]) unit = otherUnit[unit];
    show();
  }

  // From field to field; an empty K ends it, so that a place without color costs
  // one press more, not two.
  function next() {
    if (!level.value.trim()) return missing();
    if (color && active === level) return focus(cct);
    if (color && active === cct && cct.value.trim()) return focus(tint);
    commit();
  }

  function value() {
    let text = level.value.trim().replace(/\s+/g, " ");
    if (home === "f") text = wholeNumber(text);
    // A unit that was typed takes precedence over the one of the switch.
    if (unit !== home && !/[a-z]$/i.test(text.replace(/k$/i, ""))) text += ` ${unit}`;
    const of = tint.value.trim();
    const needs = /[MG]/i.test(of);
    return { text, cct: cct.value.trim(), duv: needs ? "" : of, cc: needs ? of : "" };
  }

  function put({ text = "", cct: kelvin = "", duv = "", cc = "" } = {}) {
    unit = home;
    level.value = text;
    cct.value = kelvin;
    tint.value = duv || cc;
    show();
  }

  function focus(f = level) {
    if (document.activeElement !== f) f.focus({ preventScroll: true });
  }

  return {
    node, pad: pad.node, show, next, value, put, focus, changeUnit,
    owns: (element) => all.includes(element),
    empty: () => !active.value,
  };
}

function field(name, caption) {
  // No keyboard of the phone's own: the keypad is larger and knows the marks.
  return h("input", { id: `in-${name}`, type: "text", inputmode: "none", autocomplete: "off", autocorrect: "off", spellcheck: "false", enterkeyhint: "next", "data-caption": caption });
}

function box(input, ...more) {
  const aloud = input.id === "in-tint" && h("span", { class: "unseen" }, ", green–magenta as Duv, or needs M or G");
  return h("div", { class: `box ${input.id}` }, h("label", { for: input.id }, input.dataset.caption, aloud), input, more);
}
