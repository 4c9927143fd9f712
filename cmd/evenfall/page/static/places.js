// The small grid of places: what is read, what is next, which are suspects, said
// by text and shape as well as by color. A tap jumps there.

import { h, keepFocus, setAttributes, setText } from "./dom.js";
import { isRead } from "./walk.js";

/** places makes the grid; jump is called with the label that was tapped. */
export function placesGrid(jump) {
  const sides = h("p", { class: "sides", "aria-hidden": "true" }, h("span", {}, "← camera left"), h("span", {}, "camera right →"));
  const node = h("div", { class: "places", role: "group", "aria-label": "Places" });
  let buttons = new Map();
  let made = "";

  function make(state) {
    const key = state.places.map((p) => p.label).join(" ");
    if (key === made) return;
    made = key;
    buttons = new Map();
    const columns = Math.max(0, ...state.places.map((p) => p.column ?? 0));
    const grid = columns > 0 && state.places.every((p) => p.column);
    sides.hidden = !grid;
    node.classList.toggle("free", !grid);
    node.style.setProperty("--columns", columns);
    // Row by row, as the eye reads and the Tab key goes, whatever the walk is.
    const order = grid ? [...state.places].sort((a, b) => a.row - b.row || a.column - b.column) : state.places;
    node.replaceChildren(
      ...order.map((p) => {
        const parts = [h("b", {}, p.label), h("span", {}), h("i", { class: "unseen" })];
        const button = keepFocus(h("button", { type: "button", onclick: () => jump(p.label) }, parts));
        if (grid) {
          button.style.gridColumn = p.column;
          button.style.gridRow = p.row;
        }
        buttons.set(p.label, { button, value: parts[1], aloud: parts[2], place: p });
        return button;
      }),
    );
  }

  return {
    node,
    sides,
    show({ state, cells, here, suspect, skipped, helpful }) {
      make(state);
      for (const [label, { button, value, aloud, place }] of buttons) {
        const cell = cells[label];
        const aloudParts = [place.words];
        const mark = [];
        if (isRead(cell)) {
          aloudParts.push(cell.shown ?? cell.text);
          setText(value, brief(cell.text));
        } else {
          setText(value, skipped.has(label) ? "skip" : "·");
          aloudParts.push(skipped.has(label) ? "skipped" : "not read");
        }
        if (cell?.repeats?.length) aloudParts.push(`and ${cell.repeats.length} more`);
        if (cell?.waiting) mark.push("waiting");
        if (suspect.has(label)) mark.push("suspect");
        if (label === state.reference?.label) mark.push("reference");
        if (label === helpful) mark.push("helpful");
        setAttributes(button, {
          class: [isRead(cell) && "done", ...mark].filter(Boolean).join(" "),
          "aria-current": label === here ? "step" : null,
          // One stop of the Tab key; the arrows go from place to place.
          tabindex: label === here ? 0 : -1,
        });
        setText(aloud, ` ${[...aloudParts, ...mark].filter(Boolean).join(", ")}`);
      }
      reveal(buttons.get(here)?.button);
    },
  };

  // Only the grid scrolls: the page under the thumb must not move.
  function reveal(button) {
    if (!button) return;
    const margin = button.offsetWidth;
    const { offsetLeft: left, offsetTop: top } = button;
    if (left < node.scrollLeft + margin) node.scrollLeft = left - margin;
    if (left + 2 * margin > node.scrollLeft + node.clientWidth) node.scrollLeft = left + 2 * margin - node.clientWidth;
    if (top < node.scrollTop) node.scrollTop = top;
    if (top + button.offsetHeight > node.scrollTop + node.clientHeight) node.scrollTop = top + button.offsetHeight - node.clientHeight;
  }
}

const small = "⁰¹²³⁴⁵⁶⁷⁸⁹";

// brief is a level that fits a small cell.
function brief(text) {
  const [, mark, tenth] = /^(?:f\/)?(\S+) (\d)\/10$/.exec(text) ?? [];
  const short = mark ? mark + small[tenth] : text.replace(/\s+/g, "");
  return short.length > 6 ? "✓" : short;
}
