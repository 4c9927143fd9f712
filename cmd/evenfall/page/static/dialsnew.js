// A new table of lamps over their own dimmers: which lamps, and at which settings they are read.

import { get, post, textOf } from "./api.js";
import { choice, h, put } from "./dom.js";
import { header } from "./menu.js";
import { today } from "./units.js";

const usualSettings = "100, 50, 25, 10"; // four tell how the dial bends

export function newDialsView() {
  const known = h("fieldset", { class: "choice", hidden: true }, h("legend", {}, "Lamps of the table of lamps"));
  const more = h("textarea", { id: "dials-lamps", rows: "2", autocomplete: "off" });
  const field = (id, caption, value, type = "text") => h("div", { class: "asked" }, h("label", { for: id }, caption), h("input", { id, type, value, autocomplete: "off" }));
  const wrong = h("p", { class: "wrong", role: "alert" });
  const form = h("form", { class: "new", novalidate: true, onsubmit: begin }, known,
    h("div", { class: "asked" }, h("label", { for: "dials-lamps" }, "Lamps, one a line"), more),
    h("div", { class: "pair" }, field("dials-settings", "Settings, %", usualSettings), field("dials-date", "Date", today(), "date")),
    choice("dials-unit", "The meter shows", { lx: "lux", fc: "footcandles" }, "lx"),
    h("div", { class: "asked check" }, h("input", { type: "checkbox", id: "dials-color" }), h("label", { for: "dials-color" }, "Color too: kelvins and green–magenta")),
    h("p", { class: "note" }, "Each lamp alone, the meter in one place. Dimmers are set by people who know the lamp’s limits; nobody looks into the beam, and flicker can harm."),
    wrong,
    h("div", { class: "lines" }, h("button", { class: "primary begin", type: "submit" }, "Begin")));

  get("/api/folder").then(({ lamp_names: names }) => {
    known.hidden = names.length === 0;
    put(known, known.firstChild, names.map((name) => h("label", {}, h("input", { type: "checkbox", name: "lamp", value: name }), h("span", {}, name))));
  }, () => {});

  async function begin(e) {
    e.preventDefault();
    const value = (id) => form.querySelector(`#${id}`).value;
    try {
      const { name } = await post("/api/dials", {
        lamps: [...[...form.querySelectorAll("[name=lamp]:checked")].map((l) => l.value), ...more.value.split("\n")], date: value("dials-date"),
        settings: value("dials-settings").split(/[\s,;%]+/).filter(Boolean), unit: form.elements["dials-unit"].value, color: form.querySelector("#dials-color").checked,
      });
      location.hash = `#/s/${encodeURIComponent(name)}`;
    } catch (error) {
      wrong.textContent = textOf(error);
      wrong.scrollIntoView({ block: "nearest" });
    }
  }

  return { node: form, show: () => header({ title: "Lamps over their dimmers", back: "#/" }), leave() {} };
}
