// The first visit: nothing is in the folder yet, and this is how to read.

import { textOf } from "./api.js";
import { begun } from "./begin.js";
import { h, s } from "./dom.js";

const rules = [
  ["Nine readings", "tell whether a cloth is even: about two minutes."],
  ["Stand clear.", "Receptor flat on the surface, facing out; your shadow is the most common error."],
  ["Come back to ◆", "as the page asks: it shows whether the lamps drift."],
  ["Rows up a ladder", "are for two: one reads, one types. Or the meter goes on a pole."],
];

/** firstWays are what else a first visit can do. */
export function firstWays(failed) {
  const invented = () => begun("/api/trial").catch((error) => failed(textOf(error)));
  return h("div", { class: "lines first-ways", hidden: true }, h("a", { class: "button", href: "#/devices" }, "Let a phone in"),
    h("button", { type: "button", onclick: invented }, h("b", {}, "Try with invented readings"), h("small", {}, "nothing is written in your folder")));
}

/** firstVisit is the picture of the nine places and the rules of reading. */
export function firstVisit() {
  const at = (i) => 20 + 70 * i;
  const dots = [0, 1, 2].flatMap((r) => [0, 1, 2].map((c) => (r === 1 && c === 1
    ? s("rect", { class: "reference", x: at(c) * 1.6 - 6, y: at(r) - 6, width: 12, height: 12, transform: `rotate(45 ${at(c) * 1.6} ${at(r)})` })
    : s("circle", { class: "first-dot", cx: at(c) * 1.6, cy: at(r), r: 6 }))));
  return h("section", { class: "first", hidden: true },
    h("h2", {}, "What do you want to light?"),
    h("p", {}, "Read with the meter, type here. Each reading is on the disk of this program's machine, in a plain CSV file, before the page says “saved”."),
    s("svg", { viewBox: "0 0 288 180", role: "img", "aria-label": "A cloth with nine places in three rows, the reference in the middle", class: "nine" },
      s("rect", { class: "cloth", x: 1, y: 1, width: 286, height: 178, rx: 3 }),
      s("path", { class: "axis", d: `M32 20H256M256 20V90M256 90H32M32 90V160M32 160H256` }), dots),
    rules.map(([first, rest]) => h("p", {}, h("b", {}, first), ` ${rest}`)));
}
