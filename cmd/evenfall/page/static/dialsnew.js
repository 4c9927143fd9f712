// A new table of lamps over their own dimmers: which lamps, and at which settings they are read.

import { get } from "./api.js";
import { choice, h, put } from "./dom.js";
import { asked, askedLines, askedWhether, beginView, linesOf, several } from "./form.js";
import { today } from "./units.js";

const usualSettings = "100, 50, 25, 10"; // four tell how the dial bends

export function newDialsView() {
  const known = h("fieldset", { class: "choice", hidden: true }, h("legend", {}, "Lamps of the table of lamps"));
  get("/api/folder").then(({ lamp_names: names }) => {
    known.hidden = names.length === 0;
    put(known, known.firstChild, several("lamp", names));
  }, () => {});
  return beginView("Lamps over their dimmers", "/api/dials", [
    known,
    askedLines("dials-lamps", "Lamps, one a line", 2),
    h("div", { class: "pair" }, asked("dials-settings", "Settings, %", { value: usualSettings }), asked("dials-date", "Date", { value: today(), type: "date" })),
    choice("dials-unit", "The meter shows", { lx: "lux", fc: "footcandles" }, "lx"),
    askedWhether("dials-color", "Color too: kelvins and green–magenta"),
    h("p", { class: "note" }, "Each lamp alone, the meter in one place. Dimmers are set by people who know the lamp’s limits; nobody looks into the beam, and flicker can harm."),
  ], ({ value, is, chosen, ticked }) => ({
    lamps: [...ticked("lamp"), ...linesOf(value("dials-lamps"))], date: value("dials-date"), settings: value("dials-settings").split(/[\s,;%]+/).filter(Boolean),
    unit: chosen("dials-unit"), color: is("dials-color"),
  }));
}
