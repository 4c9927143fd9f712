// Lights at marks: a matrix in the place of the map, a row a light and a column a mark, and a
// sheet to go to another light or to add one.

import { h, keepFocus, openSheet, setAttributes, setText } from "./dom.js";

/** marksMatrix makes the matrix; jump is called with the light and the mark that were tapped. */
export function marksMatrix(jump) {
  const node = h("div", { class: "map matrix", role: "group", "aria-label": "Lights at marks" });
  let made = "";
  let cells = [];

  function make(state) {
    const key = JSON.stringify([state.lamps, state.places.map((p) => p.label), state.lights]);
    if (key === made) return;
    made = key;
    cells = [];
    // Lamps that are each read at one place of their own need no column for each place.
    const alone = Boolean(state.then);
    if (alone) {
      node.style.setProperty("--columns", 1);
      node.replaceChildren(...state.lamps.flatMap((light) => [h("b", { class: "row", "aria-hidden": "true" }, light), cell(light, state.places.find((p) => p.label === state.lights[light].marks[0]), state)]));
      return;
    }
    node.style.setProperty("--columns", state.places.length);
    node.replaceChildren(h("span", {}), ...state.places.map((p) => h("b", { "aria-hidden": "true" }, state.dials ? `${p.label} %` : p.label)), ...state.lamps.flatMap((light) => [
      h("b", { class: "row", "aria-hidden": "true" }, light),
      ...state.places.map((place) => cell(light, place, state)),
    ]));
  }

  function cell(light, place, state) {
    const parts = [h("span", {}), h("i", { class: "unseen" })];
    const node = keepFocus(h("button", { type: "button", onclick: () => jump(light, place.label) }, parts));
    cells.push({ light, place, cell: node, value: parts[0], aloud: parts[1], wanted: state.lights[light].marks.includes(place.label), at: state.then ? `${place.label}  ` : "" });
    return node;
  }

  return {
    node,
    /** show gives each cell its text and marks: show(state, (light, place) => …, light, mark). */
    show(state, of, light = "", mark = "") {
      make(state);
      const moved = `${light}\n${mark}` !== node.dataset.here;
      node.dataset.here = `${light}\n${mark}`;
      for (const c of cells) {
        const { text, marks, said } = of(c.light, c.place);
        const here = c.light === light && c.place.label === mark;
        setText(c.value, c.at + (text === "·" && !c.wanted ? "–" : text));
        setAttributes(c.cell, { class: [...marks, !c.wanted && "aside"].filter(Boolean).join(" ") || null, "aria-current": here ? "step" : null, tabindex: here ? 0 : -1 });
        setText(c.aloud, ` ${c.light} ${said}`);
        if (here && moved) requestAnimationFrame(() => c.cell.scrollIntoView({ block: "nearest", inline: "nearest" }));
      }
    },
  };
}

const roles = ["key", "fill", "key+fill", "back", "hair", "kicker", "background", "screen", "practical", "ambient", "spill"];

/** openLights goes to another light or mark, which may be new. */
export function openLights(state, lamp, here, jump) {
  const light = state.dials ? h("input", { id: "light", list: "lamps", value: lamp, autocomplete: "off", maxlength: "60" }) : h("select", { id: "light" }, [...state.lamps, ...roles.filter((r) => !state.lamps.includes(r))].map((l) =>
    h("option", { value: l, selected: l === lamp }, state.lamps.includes(l) ? l : `${l}, new`)));
  const mark = h("input", { id: "mark", list: "marks", value: here, autocomplete: "off", maxlength: "60" });
  const label = () => (state.dials ? mark.value.replace("%", "") : mark.value).trim();
  const go = () => (dialog.close(), jump(light.value.trim() || lamp, label() || here));
  const dialog = openSheet("lights-title", state.dials ? "Lamp and setting" : "Light and mark",
    h("label", { for: "light" }, state.dials ? "Lamp; another name adds one" : "Light, or several together"), light,
    state.dials && h("datalist", { id: "lamps" }, state.lamps.map((l) => h("option", { value: l }))),
    h("label", { for: "mark" }, state.dials ? "Setting in %; another adds one" : "Mark; another name adds one"), mark,
    h("datalist", { id: "marks" }, state.places.map((p) => h("option", { value: p.label }))),
    h("div", { class: "lines" }, h("button", { type: "button", class: "primary", onclick: go }, "Read it")));
}
