// A new table of lights at marks: which marks, which lights, and what is wanted of them.

import { post, textOf } from "./api.js";
import { choice, h } from "./dom.js";
import { header } from "./menu.js";
import { today } from "./units.js";

const usualLights = ["key", "fill", "key+fill", "back"];
const others = ["background", "screen", "hair", "kicker", "practical", "ambient", "spill"];

export function newMarksView() {
  const field = (id, caption, value = "", more = {}) => [h("label", { for: id }, caption), h("input", { id, autocomplete: "off", value, ...more })];
  const light = (name) => h("label", {}, h("input", { type: "checkbox", name: "light", value: name, checked: usualLights.includes(name) }), h("span", {}, name));
  const marks = h("textarea", { id: "marks-list", rows: "3", autocomplete: "off" });
  const wrong = h("p", { class: "wrong", role: "alert" });
  const form = h("form", { class: "new", novalidate: true, onsubmit: begin },
    h("div", { class: "asked" }, field("marks-title", "Name", "")),
    h("div", { class: "asked" }, h("label", { for: "marks-list" }, "Marks, one a line: where somebody stands"), marks),
    h("fieldset", { class: "choice" }, h("legend", {}, "Lights, each read alone"), [...usualLights, ...others].map(light)),
    h("div", { class: "pair" }, h("div", { class: "asked" }, field("marks-target", "Key to fill, wanted", "", { placeholder: "4:1" })), h("div", { class: "asked" }, field("marks-date", "Date", today(), { type: "date" }))),
    choice("marks-unit", "The meter shows", { lx: "lux", fc: "footcandles", f: "f-number (flash)" }, "lx"),
    choice("marks-receptor", "Receptor", { flat: "flat", dome: "dome" }, "flat"),
    h("div", { class: "asked check" }, h("input", { type: "checkbox", id: "marks-color" }), h("label", { for: "marks-color" }, "Color too: kelvins and green–magenta")),
    wrong,
    h("div", { class: "lines" }, h("button", { class: "primary begin", type: "submit" }, "Begin")));

  async function begin(e) {
    e.preventDefault();
    const value = (id) => form.querySelector(`#${id}`).value.trim();
    try {
      const { name } = await post("/api/marks", {
        title: value("marks-title"), date: value("marks-date"), marks: marks.value.split("\n").map((m) => m.trim()).filter(Boolean),
        lights: [...form.querySelectorAll("[name=light]:checked")].map((l) => l.value), target: value("marks-target"),
        unit: form.elements["marks-unit"].value, receptor: form.elements["marks-receptor"].value, color: form.querySelector("#marks-color").checked,
      });
      location.hash = `#/s/${encodeURIComponent(name)}`;
    } catch (error) {
      wrong.textContent = textOf(error);
      wrong.scrollIntoView({ block: "nearest" });
    }
  }

  return { node: form, show: () => header({ title: "Key and fill at marks", back: "#/" }), leave() {} };
}
