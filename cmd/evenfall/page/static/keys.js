// The keyboard of a typist: everything that a thumb can do. The menu lists the
// keys.

import { dialogOpen } from "./menu.js";

const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** keyboard makes the listener for keydown. fields are the reading's; does has what
 * to do: next, undo, restart, walk(n), step(dx, dy) and the letters. */
export function keyboard(fields, does) {
  return function (e) {
    if (dialogOpen()) return;
    const at = document.activeElement;
    const name = at?.tagName ?? "";
    const mine = fields.owns(at);
    // Other fields, and buttons that have the focus, keep their keys.
    if (!mine && /^(INPUT|SELECT|TEXTAREA)$/.test(name)) return;
    const command = found(e, mine, /^(BUTTON|A|SUMMARY)$/.test(name));
    if (command) {
      e.preventDefault();
      command();
    } else if (!mine && e.key.length === 1 && e.key !== " " && !e.ctrlKey && !e.metaKey && !e.altKey) {
      fields.focus(); // and the character goes into the reading
    }
  };

  function found(e, mine, pressable) {
    const empty = fields.empty();
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && empty) return does.undo;
    if (e.ctrlKey || e.metaKey || e.altKey) return null;
    if (e.key === "Enter" && mine) return does.next;
    if (e.key === "Enter" && !pressable) return () => (fields.focus(), does.next());
    if (e.key === "Escape") return does.restart;
    if (e.key === "PageDown") return () => does.walk(1);
    if (e.key === "PageUp") return () => does.walk(-1);
    const step = steps[e.key];
    // Left and right belong to the caret of a text.
    if (step && (empty || step[1])) return () => does.step(...step);
    return empty ? (does.letters[e.key] ?? null) : null;
  }
}
