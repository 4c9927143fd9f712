// A lamp that is trimmed while a few places are read again: what they read before and now, as
// bars from the middle of the goal. It is no verdict.

import { surveyPath } from "./api.js";
import { begun } from "./begin.js";
import { changed, h, put, s, setText } from "./dom.js";

/** beginTrim begins to watch a survey while its lamp is trimmed, and goes there. */
export const beginTrim = (name) => begun(surveyPath(name, "/trim"));

/** beginMorning begins the readings of the lamps alone, and goes there. */
export const beginMorning = () => begun("/api/morning");

/** beginAgain begins a survey anew, with what counts of the trims that it is called from. */
export const beginAgain = (of, from = "") => begun(surveyPath(of, "/again"), { from });

/** beginScreen begins the luminances at the places of a survey, and goes there. */
export const beginScreen = (name) => begun(surveyPath(name, "/screen"), {});

const BAR_WIDE = 300;

/** trimBars makes the bars. */
export function trimBars() {
  const bars = h("div", { class: "bars" });
  const spread = h("p", {});
  const node = h("div", { class: "trim", hidden: true }, bars, h("p", { class: "legend" }), spread);
  const legend = node.children[1];

  function bar(t, p, x) {
    const rect = (v, y, high, at) => s("rect", { class: at, x: Math.min(x(0), x(v)), y, width: Math.max(2, Math.abs(x(v) - x(0))), height: high });
    const stands = Math.abs(p.now ?? p.before) > t.half ? "beyond" : "within";
    return h("div", { class: `bar ${stands}` }, h("b", {}, p.label),
      s("svg", { viewBox: `0 0 ${BAR_WIDE} 34`, role: "img", "aria-label": `${p.label}, ${p.role}: was ${p.was}${p.is ? `, is ${p.is}` : ""}, ${p.text}` },
        s("line", { class: "axis", x1: 0, x2: BAR_WIDE, y1: 17, y2: 17 }), rect(p.before, 4, 10, "was"), p.now !== undefined && rect(p.now, 18, 12, "is"),
        s("path", { class: "goal", d: `M${x(-t.half)} 0V34M${x(t.half)} 0V34` })),
      h("span", {}, p.is && h("s", {}, p.was), ` ${p.is ?? p.was}`), h("small", {}, `${p.role}: ${p.text}`));
  }

  return {
    node,
    show(state) {
      const t = state.trim;
      node.hidden = !t;
      if (!t || !changed(node, t)) return;
      const most = Math.max(t.half * 1.3, ...t.places.flatMap((p) => [Math.abs(p.before), Math.abs(p.now ?? 0)]));
      const x = (v) => BAR_WIDE / 2 + (v / most) * (BAR_WIDE / 2 - 4);
      put(bars, t.places.map((p) => bar(t, p, x)));
      setText(legend, `Outline: before; filled: now; the two lines: the goal. Stops from its middle, ${t.middle}.`);
      setText(spread, `${t.spread}. A few places are no verdict: read all of them again then.`);
    },
  };
}
