// Which places other devices are about to read, and which this one is. Next goes past what
// others hold; nothing is forbidden.

import { post, surveyPath } from "./api.js";

const BEAT = 15_000; // ms; the program believes it for a minute

/** holdsOf keeps the holds of a survey; changed is called when others moved. */
export function holdsOf(name, changed) {
  let others = [];
  let mine = { label: "", lamp: "" };
  const beat = setInterval(() => mine.label && !document.hidden && send(), BEAT);
  addEventListener("pagehide", release);

  // What gets lost is said again with the next beat.
  const send = (options) => post(surveyPath(name, "/hold"), mine, options).then(({ held }) => take(held), () => {});

  function take(held) {
    if (!held || JSON.stringify(held) === JSON.stringify(others)) return;
    others = held;
    changed();
  }

  function at(label, lamp = "") {
    if (label === mine.label && lamp === mine.lamp) return;
    mine = { label, lamp };
    send();
  }

  function release() {
    if (!mine.label) return;
    mine = { label: "", lamp: "" };
    send({ keepalive: true });
  }

  return {
    take, at,
    /** under is who holds which label under a lamp. */
    under: (lamp) => new Map(others.filter((h) => h.lamp === lamp).map((h) => [h.label, h.by])),
    leave() {
      clearInterval(beat);
      removeEventListener("pagehide", release); // it stays held for a minute, for a look elsewhere
    },
  };
}
