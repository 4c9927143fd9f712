// The forms that begin a table: their fields, and what happens when it is begun.

import { textOf } from "./api.js";
import { begun } from "./begin.js";
import { h } from "./dom.js";
import { header } from "./menu.js";

/** asked is a field with its caption. */
export const asked = (id, caption, more = {}) => h("div", { class: "asked" }, h("label", { for: id }, caption), h("input", { id, autocomplete: "off", ...more }));

/** askedLines is a field of several lines. */
export const askedLines = (id, caption, rows) => h("div", { class: "asked" }, h("label", { for: id }, caption), h("textarea", { id, rows, autocomplete: "off" }));

/** askedWhether is a box to be ticked. */
export const askedWhether = (id, caption, checked = false) => h("div", { class: "asked check" }, h("input", { type: "checkbox", id, checked }), h("label", { for: id }, caption));

/** several is a row of boxes of which some are ticked: their names, and which at first. */
export const several = (name, values, chosen = []) => values.map((value) => h("label", {}, h("input", { type: "checkbox", name, value, checked: chosen.includes(value) }), h("span", {}, value)));

/** linesOf is what the lines of a text say. */
export const linesOf = (text) => text.split("\n").map((l) => l.trim()).filter(Boolean);

/** beginView is a form of some parts that begins a table at a path. ask makes the request: it
 * gets value(id) and is(id) of a field, and chosen(name) and ticked(name) of a row of them. */
export function beginView(title, path, parts, ask) {
  const wrong = h("p", { class: "wrong", role: "alert" });
  const form = h("form", { class: "new", novalidate: true, onsubmit: begin }, parts, wrong,
    h("div", { class: "lines" }, h("button", { class: "primary begin", type: "submit" }, "Begin")));

  async function begin(e) {
    e.preventDefault();
    const at = (id) => form.querySelector(`#${id}`);
    const ticked = (name) => [...form.querySelectorAll(`[name=${name}]:checked`)].map((l) => l.value);
    try {
      await begun(path, ask({ value: (id) => at(id).value.trim(), is: (id) => at(id).checked, chosen: (name) => form.elements[name].value, ticked }));
    } catch (error) {
      wrong.textContent = textOf(error);
      wrong.scrollIntoView({ block: "nearest" });
    }
  }

  return { node: form, show: () => header({ title, back: "#/" }), leave() {} };
}
