// Messages about single readings: those that were refused and those that are
// suspect. Lines, never a dialog: the person decides when to act.

import { changed, h, keepFocus, put, say } from "./dom.js";
import { queue } from "./queue.js";

/** flaggedPanel makes the lines of a survey; amend is given a refused entry to change,
 * jump a place to read again. */
export function flaggedPanel(v, { amend, jump }) {
  const refused = h("div", { class: "refused" });
  const suspects = h("div", { class: "suspects" });
  const confirmed = new Set(); // suspects that the person has confirmed
  const id = (d) => [d.lamp, d.label, d.found].join("\n");

  function showRefused() {
    const list = queue.refused(v.name);
    if (!changed(refused, list)) return;
    put(refused, list.map((e) => h("div", { class: "notice brief" },
      h("p", {}, h("b", {}, `Not accepted: ${e.label}${e.lamp ? `, ${e.lamp}` : ""} ${e.text || e.kind}. `), e.refused),
      h("button", { type: "button", onclick: () => amend(e) }, "Change"),
      h("button", { type: "button", onclick: () => queue.drop(e.id) }, "Drop"))));
  }

  function open() {
    const list = (v.state.again ?? []).map((d) => ({ ...d, lamp: d.lamp ?? "" })).filter((d) => !confirmed.has(id(d)));
    // The last one read is first: the person is still there.
    const at = (d) => v.cells[d.lamp]?.[d.label]?.at ?? 0;
    return list.sort((a, b) => at(b) - at(a));
  }

  function showSuspects() {
    const list = open();
    if (!changed(suspects, list)) return;
    const [d] = list;
    if (!d) return put(suspects);
    const more = list.length > 1 ? ` (and ${list.length - 1} more)` : "";
    const right = () => {
      confirmed.add(id(d));
      showSuspects();
    };
    put(suspects, h("div", { class: "notice brief" },
      h("p", {}, h("b", {}, `${d.label} again? `), d.text, more),
      keepFocus(h("button", { type: "button", onclick: () => jump(d.label, d.lamp) }, `Read ${d.label} again`)),
      keepFocus(h("button", { type: "button", onclick: right }, "It is right"))));
    say(`${d.label} again? ${d.text}`);
  }

  return {
    nodes: [refused, suspects],
    show() {
      showRefused();
      showSuspects();
    },
    /** suspect is the labels of suspects under a lamp. */
    suspect: (lamp) => new Set(open().filter((d) => d.lamp === lamp).map((d) => d.label)),
  };
}
