// What stands in the place of the keypad once all is read: what is settled, what is open,
// and what now.

import { changed, h, keepFocus, put } from "./dom.js";
import { reportOf, toDo } from "./result.js";
import { beginAgain } from "./trim.js";
import { lampNamed } from "./walk.js";

/** finishedPanel makes the list and the actions of a survey v. */
export function finishedPanel(v, { jump, ask, result, reference, toLamp }) {
  const facts = h("ul", { class: "settled" });
  const keys = h("div", { class: "actions", role: "group", "aria-label": "What now" });
  return {
    facts, keys,
    show(lamp, walk, open, nextLamp) {
      const s = v.state;
      const ref = s.reference?.label;
      const once = ref && lamp === "" && !v.cells[""]?.[ref]?.repeats?.length;
      const of = s.lights ? Object.values(s.lights).reduce((n, l) => n + l.marks.length, 0) : walk;
      const again = s.then && button(s.then.title, s.then.below, () => beginAgain(s.then.of, v.name), true);
      const lines = s.trim ? [["✓", s.trim.spread]] : [["✓", s.lights ? `${of} of ${of} readings taken` : `${walk} of ${walk} places read${lamp ? `, ${lampNamed(lamp)}` : ""}`],
        open.length > 0 ? ["○", `${open.length === 1 ? "1 question" : `${open.length} questions`} open: ${open.map((q) => q.label).slice(0, 4).join(", ")}`] : ["✓", "No question open"],
        once && ["○", `◆ ${ref} read once: drift is not known`]].filter(Boolean);
      if (changed(facts, lines)) put(facts, lines.map(([sign, text]) => h("li", {}, h("i", { "aria-hidden": "true" }, sign), text)));
      const first = open.length ? "" : toDo(v)[0];
      if (!changed(keys, [lines, first, nextLamp, v.folder?.report, s.then])) return;
      if (again) return put(keys, again);
      put(keys,
        open.length > 0 ? button(`Answer for ${open[0].label}`, "", () => ask(open[0]), true)
          : nextLamp !== null ? button(`Read ${lampNamed(nextLamp)}`, "", () => toLamp(nextLamp), true)
          : button(first.length > 60 ? "What to do" : first, "the result, and why", result, true),
        once && button(`Read ◆ ${ref} once more`, "tells drift", reference),
        !s.lights && keepFocus(h("a", { class: "button", href: closer(v.name, s) }, "Read closer")),
        v.folder?.report && h("a", { class: "button", href: reportOf(v.name) }, "Report"));
    },
  };
}

const button = (text, below, does, primary) => keepFocus(h("button", { type: "button", class: primary ? "primary wide" : null, onclick: does }, h("b", {}, text), below && h("small", {}, below)));

// closer is a new survey of the same surface with more places.
function closer(name, s) {
  const across = s.columns > 3 ? 2 * s.columns - 1 : 9;
  const down = s.rows > 3 ? 2 * s.rows - 1 : 5;
  const about = { title: `${s.title}, closer`, kind: s.kind, width: String(s.width_m ?? ""), height: String(s.height_m ?? ""), columns: String(across), rows: String(down), unit: s.unit, color: s.color, area: s.area };
  return `#/new/${encodeURIComponent(JSON.stringify(about))}`;
}
