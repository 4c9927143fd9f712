// The entry panel: one place, one reading, one thumb. It moves on at once and
// never waits for the program; what it shows comes from the last answer and the
// queue together.

import { changed, h, keepFocus, put, say, setAttributes, setText } from "./dom.js";
import { flaggedPanel } from "./flagged.js";
import { wholeNumber } from "./keypad.js";
import { keyboard } from "./keys.js";
import { dialogOpen, openMenu } from "./menu.js";
import { openPaste, valuesOf } from "./paste.js";
import { placesGrid } from "./places.js";
import { queue } from "./queue.js";
import { readingFields } from "./reading.js";
import { choose, other } from "./settings.js";
import { readJSON, write } from "./store.js";
import { inverse, isRead, lampNamed, neighbor, nextPlace, sinceReference, stepped, walkOf, withUnit } from "./walk.js";

/** entryPanel makes the panel of a survey v: {name, state, cells}. */
export function entryPanel(v, { openMap }) {
  const kept = readJSON(`evenfall.place.${v.name}`, {});
  let lamp = v.state.lamps.includes(kept.lamp) ? kept.lamp : v.state.lamps[0];
  let returnTo = null; // where the walk goes on after the reference
  let postponed = 0; // readings since the reference when it was put off
  let message = ""; // the line under the reading
  const skips = {}; // by lamp: labels that were skipped
  const history = []; // what can be undone: {entries, before}

  const places = () => v.state.places;
  const walk = () => walkOf(v.state, lamp);
  const cells = () => v.cells[lamp] ?? {};
  const cell = () => cells()[here];
  const place = () => places().find((p) => p.label === here);
  const reference = () => v.state.reference?.label ?? "";
  const skipped = () => (skips[lamp] ??= new Set());
  const unread = (from) => nextPlace(walk(), cells(), from, skipped());
  let here = places().some((p) => p.label === kept.label) ? kept.label : (unread(null) ?? places()[0]?.label);
  let repeat = isRead(cell()) && here === reference(); // add a repeat reading to what is there

  // What is on the screen.
  const closed = h("p", { class: "note", role: "status" });
  const lamps = h("div", { class: "lamps", role: "group", "aria-label": "Lamps" });
  const label = h("p", { class: "label", id: "place" });
  const words = h("p", { class: "words" });
  const why = h("p", { class: "why" });
  const fields = readingFields(v.state.unit, { commit, missing: () => tell("Type a reading, or skip this place."), typed: () => setText(line, message = "") });
  const line = h("p", { class: "line" });
  const lines = flaggedPanel(v, { amend, jump });
  const grid = placesGrid((to) => jump(to));
  const tool = (text, does, aloud = null) => keepFocus(h("button", { type: "button", "aria-label": aloud && `${text}, ${aloud}`, onclick: does }, text));
  const tools = {
    undo: tool("Undo", undo), skip: tool("Skip", skip), again: tool("Again", toggleRepeat, "read it once more and keep both"),
    reference: tool("Ref.", toReference, "to the reference"), clear: tool("Clear", clear),
  };
  const node = h("section", { class: "entry", "aria-label": "Entry" },
    closed, lamps, h("div", { class: "place" }, label, h("div", {}, words, why)), fields.node, line, lines.nodes, grid.sides, grid.node,
    h("div", { class: "reach" }, h("div", { class: "tools" }, Object.values(tools)), fields.pad));

  function render() {
    const s = v.state;
    const p = place();
    if (!p) return;
    const read = isRead(cell());
    const off = (no) => ({ disabled: no ? "" : null });
    setText(closed, s.editable ? "" : `Not to be filled in here: ${s.why_not}`);
    node.classList.toggle("closed", !s.editable);
    showLamps();
    setText(label, here);
    setText(words, p.words);
    setText(why, reason());
    setText(line, message);
    fields.show(Boolean(s.color));
    setAttributes(tools.undo, off(history.length === 0));
    setAttributes(tools.again, { "aria-pressed": String(repeat && read), ...off(!read) });
    setAttributes(tools.clear, off(!read));
    setAttributes(tools.reference, off(!reference()));
    lines.show();
    grid.show({ state: s, cells: cells(), here, suspect: lines.suspect(lamp), skipped: skipped(), helpful: helpful() });
    write(`evenfall.place.${v.name}`, JSON.stringify({ lamp, label: here }));
  }

  // Why this place, and what a reading here will do.
  function reason() {
    const s = v.state;
    if (!s.editable) return isRead(cell()) ? `Read ${cell().shown ?? cell().text}` : "Not read";
    const done = (list) => list.filter((p) => isRead(cells()[p.label])).length;
    if (isRead(cell())) {
      const was = cell().shown ?? cell().text;
      const since = repeat && lamp === "" && here === reference() ? sinceReference(cells(), reference()) : 0;
      if (since > 0) return `Reference again: ${since} read since. It shows whether the light drifts.`;
      const all = done(walk()) === walk().length ? `All ${walk().length} read. ` : "";
      return repeat ? `${all}A repeat reading, in addition to ${was}` : `${all}Replaces ${was}${cell().cct_k ? " and its color" : ""}`;
    }
    if (skipped().has(here)) return "Skipped before";
    if (places().indexOf(place()) < (s.quick ?? 0)) return `Quick nine: ${done(places().slice(0, s.quick))} of ${s.quick} read`;
    return `${done(walk())} of ${walk().length} read` + (helpful() && helpful() !== here ? `; ${helpful()} would help most` : "");
  }

  function showLamps() {
    lamps.hidden = v.state.lamps.length < 2;
    if (changed(lamps, [v.state.lamps, lamp])) put(lamps, v.state.lamps.map((l) =>
      keepFocus(h("button", { type: "button", "aria-pressed": String(l === lamp), onclick: () => toLamp(l) }, lampNamed(l)))));
  }

  // The place where the gradient between the readings is steepest, "" for none. The
  // walk does not go there by itself, so that nobody is sent to and fro.
  function helpful() {
    const next = lamp === "" && v.state.next?.[""];
    return next && next.code === "steep" && !isRead(cells()[next.label]) ? next.label : "";
  }

  // Entries.
  function add(entries) {
    const before = entries.map((e) => v.cells[e.lamp]?.[e.label]);
    history.push({ entries: queue.add(v.name, entries), before });
  }

  function commit() {
    if (!v.state.editable) return;
    const reading = fields.value();
    add([{ label: here, lamp, ...reading, kind: repeat && isRead(cell()) ? "repeat" : "set" }]);
    skipped().delete(here);
    if (here === reference()) postponed = 0;
    const shown = `${here}  ${withUnit(reading.text, v.state.unit)}${reading.cct ? `  ${reading.cct} K` : ""}`;
    moveOn();
    tell(shown, `${shown}. Next ${here}, ${place()?.words}.`);
  }

  function clear() {
    if (!isRead(cell()) || !v.state.editable) return;
    add([{ label: here, lamp, text: "", kind: "clear" }]);
    render();
    tell(`${here} cleared`);
  }

  function undo() {
    const last = history.pop();
    if (!last) return;
    const back = last.entries.flatMap((e, i) => (queue.recall(e.id) ? [] : inverse(e, last.before[i])));
    if (back.length > 0) queue.add(v.name, back);
    lamp = last.entries[0].lamp;
    go(last.entries[0].label);
    tell(last.entries.length > 1 ? `${last.entries.length} readings undone` : `${here} undone`);
  }

  // A refused entry goes back into the fields as it was typed.
  function amend(e) {
    queue.drop(e.id);
    if (v.state.lamps.includes(e.lamp)) lamp = e.lamp;
    if (!places().some((p) => p.label === e.label)) return;
    go(e.label, { again: e.kind === "repeat" });
    fields.put(e);
  }

  function paste(text = "") {
    if (!v.state.editable) return;
    openPaste({
      text, unit: v.state.unit, places: places(), cells: cells(), here, lamp: lampNamed(lamp),
      enter(pairs) {
        add(pairs.map((p) => ({ label: p.label, lamp, text: v.state.unit === "f" ? wholeNumber(p.text) : p.text, kind: "set" })));
        postponed = 0;
        go(unread(pairs.at(-1).label) ?? pairs.at(-1).label);
        tell(`${pairs.length} readings pasted`, `${pairs.length} readings pasted. Next ${here}.`);
      },
    });
  }

  // The given order, with the reference after every so many readings.
  // Lamps alone need none: drift is found from the readings of all lamps together.
  function moveOn() {
    const onward = returnTo && !isRead(cells()[returnTo]) ? returnTo : unread(returnTo ?? here);
    const since = sinceReference(cells(), reference());
    const due = lamp === "" && since - postponed >= (v.state.reference?.every ?? Infinity);
    if (due && here !== reference()) go(reference(), { then: onward ?? here });
    else go(onward ?? here, { again: onward === null });
  }

  function go(to, { again = false, then = null, keep = false } = {}) {
    here = to;
    repeat = isRead(cell()) && (again || to === reference());
    returnTo = then;
    message = "";
    if (!keep) fields.put();
    focus();
    render();
  }

  // Keep what is typed: whoever notices the wrong place taps the right one.
  function jump(to, toTheLamp = lamp) {
    if (toTheLamp !== lamp) postponed = 0;
    lamp = toTheLamp;
    go(to, { keep: true });
    say(`${here}, ${place().words}. ${why.textContent}`);
  }

  function toLamp(to) {
    lamp = to;
    postponed = 0;
    go(unread(null) ?? here);
    say(`${lampNamed(lamp)}. Next ${here}, ${place().words}.`);
  }

  function toReference() {
    if (!reference() || reference() === here) return;
    go(reference(), { then: isRead(cell()) ? unread(here) : here });
    say(`${here}, the reference.`);
  }

  function skip() {
    const from = here;
    if (returnTo) {
      postponed = sinceReference(cells(), reference());
      go(returnTo);
    } else {
      if (!isRead(cell())) skipped().add(here);
      moveOn();
    }
    tell(`${from} skipped`, `${from} skipped. Next ${here}, ${place().words}.`);
  }

  function toggleRepeat() {
    if (!isRead(cell())) return tell("Nothing is read here yet.");
    repeat = !repeat;
    render();
    say(why.textContent);
  }

  function tell(text, aloud = text) {
    setText(line, message = text);
    say(aloud);
  }

  function focus() {
    if (node.offsetParent !== null && !dialogOpen()) fields.focus();
  }

  const toStep = (n) => jump(stepped(places(), here, n));
  const toNextLamp = () => toLamp(v.state.lamps[(v.state.lamps.indexOf(lamp) + 1) % v.state.lamps.length]);
  const key = keyboard(fields, {
    next: fields.next, undo, restart: () => go(here), walk: toStep, step: (dx, dy) => jump(neighbor(places(), here, dx, dy)),
    letters: {
      n: () => toStep(1), p: () => toStep(-1), z: undo, s: skip, r: toggleRepeat, t: toReference, x: clear, u: fields.changeUnit, l: toNextLamp,
      v: () => paste(), b: () => choose("big", other("big")), h: () => choose("hand", other("hand")), m: openMap, "?": () => openMenu({ keys: true }),
    },
  });

  function pasted(e) {
    const text = e.clipboardData?.getData("text") ?? "";
    if (dialogOpen() || valuesOf(text).length < 2) return;
    e.preventDefault();
    paste(text);
  }

  const visible = (does) => (e) => node.offsetParent !== null && does(e);
  return {
    node, render, jump, tell, key: visible(key), pasted: visible(pasted), hush: (of) => message.startsWith(`${of}  `) && tell(""),
    shown: (yes) => yes && focus(),
    actions: () => [
      { text: "Paste many readings", run: () => paste() },
      { text: "Keys", run: () => openMenu({ keys: true }) },
    ],
  };
}
