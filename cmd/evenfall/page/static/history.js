// What can be undone on this device: the last acts at a survey, kept through a reload. How
// to put a place back as it was the program says when it has done an act.

import { readJSON, write } from "./store.js";
import { queue } from "./queue.js";

const MOST_UNDONE = 20;

/** undoHistory is the acts of a survey on this device. */
export function undoHistory(survey) {
  const key = `evenfall.undo.${survey}`;
  let acts = readJSON(key, []);

  function save() {
    acts = acts.slice(-MOST_UNDONE);
    write(key, JSON.stringify(acts));
  }

  return {
    /** last names the act that is undone next, "" for none. */
    last: () => acts.at(-1)?.name ?? "",
    /** add keeps an act: its name, its entries and what its places showed before. */
    add(name, entries, priors) {
      acts.push({ name, entries: entries.map((e, i) => ({ id: e.id, at: e.at, label: e.label, lamp: e.lamp, prior: priors[i] })) });
      save();
    },
    /** answered keeps how to put places back. */
    answered(outcomes) {
      const undo = new Map(outcomes.filter((o) => o.undo).map((o) => [o.id, o.undo]));
      if (undo.size === 0) return;
      for (const e of acts.flatMap((a) => a.entries)) Object.assign(e, undo.get(e.id));
      save();
    },
    /** undo takes the last act back: where it was never sent, out of the queue. */
    undo() {
      const act = acts.pop();
      if (!act) return null;
      save();
      const back = [...act.entries].reverse().filter((e) => !queue.recall(e.id));
      if (back.length > 0) {
        queue.add(survey, back.map(({ id, label, lamp, prior, before, after }) => ({ kind: "undo", label, lamp, undoes: id, prior, text: "", ...(after && { before, after }) })));
      }
      return act;
    },
  };
}
