// The stop ruler: a line in stops, what is allowed as an open box, a tick a place; and the
// verdicts, each with a word and a shape.

import { changed, h, put, s } from "./dom.js";

const shapes = { FAIL: "fail", PASS: "pass", "SO FAR EVEN": "sofar", "NOT YET": "notyet", UNSURE: "unsure", GOOD: "pass", TRIM: "unsure", CHECK: "fail" };
const signs = { FAIL: "✕", PASS: "✓", UNSURE: "?", GOOD: "✓", TRIM: "↕", CHECK: "!" };

/** shapeOf is the shape of a verdict's word; nothing for what is none. */
export const shapeOf = (word) => shapes[word] && h("span", { class: `shape ${shapes[word]}`, "aria-hidden": "true" }, signs[word] ?? "");

/** verdictLines makes the verdicts of a state. */
export function verdictLines() {
  const node = h("div", { class: "verdicts" });
  return {
    node,
    show(state) {
      const list = state.judgments?.length ? state.judgments : [{ of: "level", word: "NOT YET", text: state.why_no_result || "Nothing is read yet." }];
      if (!changed(node, list)) return;
      put(node, list.map((j) => h("p", { class: "verdict" }, shapeOf(j.word),
        h("span", {}, h("b", {}, j.word), ` ${j.of === "color" ? "color: " : ""}${j.text}`))));
    },
  };
}

const WIDE = 340;
const wideTick = { within: 2, edge: 2, under: 4, over: 4 };

/** stopRuler makes the ruler. */
export function stopRuler() {
  const node = s("svg", { class: "ruler", viewBox: `0 0 ${WIDE} 54`, role: "img" });
  // Names of places that read nearly the same are beside each other.
  const label = (t, at, x, close) => {
    const to = close ? { low: "end", high: "start" }[at] : x < WIDE / 4 ? "start" : x > WIDE * 0.75 ? "end" : "middle";
    const by = { start: -8, end: 8, middle: 0 }[to];
    return s("text", { x: x + (close ? -by / 4 : by), y: 10, "text-anchor": to, class: at }, t.label);
  };
  return {
    node,
    show(state) {
      const r = state.ruler;
      const ticks = r?.ticks.filter((t) => t.in_shot) ?? [];
      node.style.display = ticks.length < 2 ? "none" : "";
      if (ticks.length < 2 || !changed(node, r)) return;
      ticks.sort((a, b) => a.stops - b.stops);
      const [low, high] = [Math.min(ticks[0].stops, r.low), Math.max(ticks.at(-1).stops, r.high)];
      const x = (v) => 16 + ((WIDE - 32) * (v - low)) / Math.max(0.01, high - low);
      const close = x(ticks.at(-1).stops) - x(ticks[0].stops) < 40;
      node.setAttribute("aria-label", `${ticks.length} places from ${ticks[0].stops.toFixed(2)} to ${ticks.at(-1).stops.toFixed(2)} stops; ${r.allowed} is allowed`);
      node.replaceChildren(
        s("line", { class: "axis", x1: 0, x2: WIDE, y1: 28, y2: 28 }),
        s("path", { class: "allowed", d: `M${x(r.low)} 17V41M${x(r.high)} 17V41M${x(r.low)} 17H${x(r.high)}V41H${x(r.low)}Z` }),
        ...Object.entries(wideTick).map(([stands, wide]) => s("path", { class: `tick ${stands}`, d: ticks.filter((t) => t.stands === stands).map((t) => `M${(x(t.stops) - wide / 2).toFixed(1)} 21h${wide}v14h${-wide}z`).join("") })),
        label(ticks[0], "low", x(ticks[0].stops), close), label(ticks.at(-1), "high", x(ticks.at(-1).stops), close),
        s("text", { x: (x(r.low) + x(r.high)) / 2, y: 52, "text-anchor": "middle", class: "say" }, r.allowed));
    },
  };
}
