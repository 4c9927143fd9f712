// What only a person can say: whether a suspect is right, which of two readings counts, and
// what was meant by an entry that the program refused. Each answer is one tap.

import { changed, h, keepFocus, put } from "./dom.js";
import { queue } from "./queue.js";

const key = (q) => [q.kind, q.lamp, q.label, q.at].join("\n");
const questionShapes = { suspect: "?", conflict: "≠" };

/** questionsOf keeps which questions of a survey v are open, put off, or answered and not
 * yet heard of. */
export function questionsOf(v) {
  const later = new Set();
  const answered = new Map(); // to the revision when they were
  const open = () => (v.state.questions ?? []).filter((q) => !(answered.get(key(q)) >= v.state.revision));
  return {
    open,
    /** pressing is a question that is wanted now, and was not put off. */
    pressing: (wanted) => open().find((q) => !later.has(key(q)) && wanted(q)),
    putOff: (q) => later.add(key(q)),
    bring: (q) => later.delete(key(q)),
    answer: (q) => answered.set(key(q), v.state.revision),
    /** marks are the places with an open question under a lamp, by kind. */
    marks: (lamp) => new Map(open().filter((q) => q.lamp === lamp).map((q) => [q.label, q.kind])),
  };
}

/** questionPanel shows a question and its answers. */
export function questionPanel({ answer, later }) {
  const facts = h("dl", { class: "facts" });
  const keys = h("div", { class: "answers", role: "group", "aria-label": "Answers" });
  return {
    facts, keys,
    shape: (q) => questionShapes[q.kind],
    show(q) {
      if (!changed(keys, q)) return;
      put(facts, q.facts?.map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value))));
      put(keys, q.answers.map((a) => keepFocus(h("button", { type: "button", onclick: () => answer(q, a) }, h("b", {}, a.title), h("small", {}, a.below)))),
        keepFocus(h("button", { type: "button", class: "later", onclick: () => later(q) }, "Later: the verdict waits")));
    },
  };
}

/** refusedLines show the entries that the program did not take. */
export function refusedLines(v, amend) {
  const node = h("div", { class: "refused" });
  return {
    node,
    show() {
      const list = queue.refused(v.name);
      if (!changed(node, list)) return;
      put(node, list.map((e) => h("div", { class: "notice brief" },
        h("p", {}, h("b", {}, `Not accepted: ${e.label}${e.lamp ? `, ${e.lamp}` : ""} ${e.text || e.kind}. `), e.refused),
        e.text && h("button", { type: "button", onclick: () => amend(e) }, "Change"),
        h("button", { type: "button", onclick: () => queue.drop(e.id) }, "Drop"))));
    },
  };
}
