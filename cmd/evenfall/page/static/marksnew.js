// A new table of lights at marks: which marks, which lights, and what is wanted of them.

import { choice, h } from "./dom.js";
import { asked, askedLines, askedWhether, beginView, linesOf, several } from "./form.js";
import { today } from "./units.js";

const usualLights = ["key", "fill", "key+fill", "back"];
const others = ["background", "screen", "hair", "kicker", "practical", "ambient", "spill"];

export function newMarksView() {
  return beginView("Key and fill at marks", "/api/marks", [
    asked("marks-title", "Name"),
    askedLines("marks-list", "Marks, one a line: where somebody stands", 3),
    h("fieldset", { class: "choice" }, h("legend", {}, "Lights, each read alone"), several("light", [...usualLights, ...others], usualLights)),
    h("div", { class: "pair" }, asked("marks-target", "Key to fill, wanted", { placeholder: "4:1" }), asked("marks-date", "Date", { value: today(), type: "date" })),
    choice("marks-unit", "The meter shows", { lx: "lux", fc: "footcandles", f: "f-number (flash)" }, "lx"),
    choice("marks-receptor", "Receptor", { flat: "flat", dome: "dome" }, "flat"),
    askedWhether("marks-color", "Color too: kelvins and green–magenta"),
  ], ({ value, is, chosen, ticked }) => ({
    title: value("marks-title"), date: value("marks-date"), marks: linesOf(value("marks-list")), lights: ticked("light"), target: value("marks-target"),
    unit: chosen("marks-unit"), receptor: chosen("marks-receptor"), color: is("marks-color"),
  }));
}
