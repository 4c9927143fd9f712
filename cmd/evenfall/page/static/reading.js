// The reading at hand: level, color where it is wanted, the unit, and the keypad that
// fills them. Digits go to the level; a tap takes the kelvin from the last one, and + or −
// opens the Duv. What was not touched stays empty.

import { h, keepFocus, setAttributes, setText } from "./dom.js";
import { backspace, changeNeeds, changeSign, keypad, setTenth, typeInto, typeOver, wholeNumber } from "./keypad.js";
import { unitNamed } from "./walk.js";

const otherUnit = { lx: "fc", fc: "lx" };

/** readingFields makes the fields and the pad of a survey in a unit. commit is called when
 * the reading is whole, missing when there is none, typed at each change, note for a note,
 * lastKelvin gives the color temperature that was read last, 0 for none. */
export function readingFields(home, { commit, missing, typed, note, lastKelvin }) {
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
    if (active === tint) pad.show("tint", "", color);
    else if (color && digits === "level") pad.show("color", "", color);
    else pad.show(digits, digits === "level" ? (otherUnit[unit] ?? "") : "", color);
    for (const f of all) f.closest(".box").classList.toggle("at", f === active);
  }

  // openDuv begins a Duv with its sign: the digits that follow are its fourth decimals.
  function openDuv(sign) {
    if (!/[1-9MG]/.test(tint.value)) typeOver(tint, `${sign}0.00`);
    focus(tint);
    tint.setSelectionRange(tint.value.length, tint.value.length);
  }

  const kelvin = () => Number(cct.value) || lastKelvin();
  const acts = {
    back: () => backspace(active), next, note, unit: changeUnit, sign: () => changeSign(active), needs: () => changeNeeds(active),
    marks: () => turn("marks"), digits: () => turn("number"), kelvin: () => focus(cct),
    plus: () => openDuv("+"), minus: () => openDuv("-"), same: () => lastKelvin() && typeOver(cct, String(lastKelvin())),
  };

  function press(k) {
    if (k.kelvin && active === cct && cct.value.length < 3) typeInto(cct, k.kelvin);
    else if (k.kelvin) kelvin() ? typeOver(cct, String(Math.floor(kelvin() / 100)) + k.kelvin) : focus(cct);
    else if (k.step) kelvin() ? typeOver(cct, String(kelvin() + k.step)) : focus(cct);
    else {
      focus(active);
      if (k.type !== undefined) typeInto(active, k.type);
      else if (k.mark) typeOver(level, k.mark);
      else if (k.tenth !== undefined) setTenth(level, k.tenth) ? next() : missing();
      else acts[k.act]();
    }
  }

  function turn(to) {
    digits = to;
    show();
  }

  // turnTo takes the unit of another light, which its digits are typed in.
  function turnTo(other) {
    if (other === home) return;
    home = unit = other;
    digits = home === "f" ? "marks" : "level";
  }

  function changeUnit() {
    if (otherUnit[unit]) unit = otherUnit[unit];
    show();
    typed();
  }

  function next() {
    if (!level.value.trim()) return missing();
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
    node, pad: pad.node, bar: pad.next, show, next, value, put, focus, changeUnit, turnTo,
    owns: (element) => all.includes(element),
    empty: () => !active.value,
    blank: () => all.every((f) => !f.value),
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
