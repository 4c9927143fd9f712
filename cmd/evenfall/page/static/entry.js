// The entry panel: one place, one reading, one thumb. It moves on at once and
// never waits for the program; what it shows comes from the last answer and the
// queue together.

import { h, keepFocus, say, setAttributes, setText } from "./dom.js";
import { back, changeNeeds, changeSign, keypad, setMark, setTenth, typeInto, wholeNumber } from "./keypad.js";
import { dialogOpen, openMenu } from "./menu.js";
import { openPaste, valuesOf } from "./paste.js";
import { placesGrid } from "./places.js";
import { queue } from "./queue.js";
import { choose, other } from "./settings.js";
import { readJSON, write } from "./store.js";
import { isRead, lampNamed, neighbor, nextPlace, sinceReference, stepped, unitNamed, walkOf, withUnit } from "./walk.js";

const otherUnit = { lx: "fc", fc: "lx" };

/** entryPanel makes the panel of a survey v: {name, state, cells}. */
export function entryPanel(v, { openMap }) {
  const kept = readJSON(`evenfall.place.${v.name}`, {});
  let lamp = v.state.lamps.includes(kept.lamp) ? kept.lamp : v.state.lamps[0];
  let here = v.state.places.some((p) => p.label === kept.label) ? kept.label : null;
  let repeat = false; // read again beside what is there
  let unit = v.state.unit; // of the reading at hand
  let number = v.state.unit === "f" ? "marks" : "level";
  let returnTo = null; // where the walk goes on after the reference
  let postponed = 0; // readings since the reference when it was put off
  let told = ""; // the line under the reading
  const skips = {}; // by lamp: labels that were skipped
  const skipped = () => (skips[lamp] ??= new Set());
  const settled = new Set(); // doubts that the person has looked at
  const history = [];

  const cells = () => v.cells[lamp] ?? {};
  const cell = () => cells()[here];
  const place = () => v.state.places.find((p) => p.label === here);

  // What is on the screen.
  const lamps = h("div", { class: "lamps", role: "group", "aria-label": "Lamps" });
  const label = h("p", { class: "label", id: "place" });
  const words = h("p", { class: "words" });
  const why = h("p", { class: "why" });
  const level = field("level", "Reading");
  const cct = field("cct", "K");
  const tint = field("tint", "G–M");
  const unitButton = keepFocus(h("button", { type: "button", class: "unit", onclick: () => changeUnit() }));
  const fields = h("div", { class: "fields" }, box(level, unitButton), box(cct), box(tint));
  const line = h("p", { class: "line" });
  const doubts = h("div", { class: "doubts" });
  const refused = h("div", { class: "refused" });
  const grid = placesGrid((to) => jump(to));
  const tool = (text, does) => keepFocus(h("button", { type: "button", onclick: does }, text));
  const undoButton = tool("Undo", () => undo());
  const skipButton = tool("Skip", () => skip());
  const againButton = tool("Again", () => toggleRepeat());
  const referenceButton = tool("Ref.", () => toReference());
  const clearButton = tool("Clear", () => clear());
  const tools = h("div", { class: "tools" }, undoButton, skipButton, againButton, referenceButton, clearButton);
  referenceButton.setAttribute("aria-label", "Ref., to the reference");
  againButton.setAttribute("aria-label", "Again, read it once more and keep both");
  const pad = keypad((k) => press(k));
  const closed = h("p", { class: "note", role: "status" });
  const node = h("section", { class: "entry", "aria-label": "Entry" },
    closed, lamps, h("div", { class: "place" }, label, h("div", {}, words, why)), fields, line, refused, doubts, grid.node, h("div", { class: "reach" }, tools, pad.node));

  let active = level;
  for (const f of [level, cct, tint]) {
    f.addEventListener("focus", () => {
      active = f;
      showPad();
    });
    f.addEventListener("input", () => setText(line, told = ""));
  }

  if (here === null) here = nextPlace(walkOf(v.state, lamp), cells(), null, skipped()) ?? v.state.next?.[lamp]?.label ?? v.state.places[0]?.label;

  function render() {
    const s = v.state;
    const p = place();
    if (!p) return;
    const current = cell();
    const read = isRead(current);
    setText(closed, s.editable ? "" : `Not to be filled in here: ${s.why_not}`);
    node.classList.toggle("closed", !s.editable);
    showLamps();
    setText(label, here);
    setText(words, p.words);
    setText(why, reason(current, read));
    setText(unitButton, unitNamed(unit));
    setAttributes(unitButton, { disabled: otherUnit[unit] ? null : "", "aria-label": otherUnit[unit] ? `Unit ${unit}, change to ${otherUnit[unit]}` : `Unit ${unitNamed(unit)}` });
    fields.classList.toggle("color", Boolean(s.color));
    setAttributes(againButton, { "aria-pressed": String(repeat && read), disabled: read ? null : "" });
    setAttributes(undoButton, { disabled: history.length > 0 ? null : "" });
    setAttributes(clearButton, { disabled: read ? null : "" });
    setAttributes(referenceButton, { disabled: s.reference?.label ? null : "" });
    setText(line, told);
    showRefused();
    showDoubts();
    const doubtful = new Set(openDoubts().filter((d) => (d.lamp ?? "") === lamp).map((d) => d.label));
    grid.show({ state: s, cells: cells(), here, doubtful, skipped: skipped() });
    showPad();
    write(`evenfall.place.${v.name}`, JSON.stringify({ lamp, label: here }));
  }

  function reason(current, read) {
    const s = v.state;
    const walk = walkOf(s, lamp);
    const done = walk.filter((p) => isRead(cells()[p.label])).length;
    if (read) {
      const was = current.shown ?? current.text;
      if (here === s.reference?.label && returnTo) return `Reference again: ${s.reference.every} read since. It shows whether the light drifts.`;
      const walk = walkOf(s, lamp);
      const all = walk.every((p) => isRead(cells()[p.label])) ? `All ${walk.length} read. ` : "";
      return repeat ? `${all}A further reading beside ${was}` : `${all}Replaces ${was}`;
    }
    if (skipped().has(here)) return "Skipped before";
    const i = s.places.findIndex((p) => p.label === here);
    if (i < (s.quick ?? 0)) return `Quick nine: ${s.places.slice(0, s.quick).filter((p) => isRead(cells()[p.label])).length} of ${s.quick} read`;
    return `${done} of ${walk.length} read`;
  }

  function showLamps() {
    lamps.hidden = v.state.lamps.length < 2;
    const key = JSON.stringify([v.state.lamps, lamp]);
    if (lamps.dataset.key === key) return;
    lamps.dataset.key = key;
    lamps.replaceChildren(...v.state.lamps.map((l) =>
      keepFocus(h("button", { type: "button", "aria-pressed": String(l === lamp), onclick: () => toLamp(l) }, lampNamed(l)))));
  }

  function showRefused() {
    const list = queue.refused(v.name);
    const key = list.map((e) => e.id + e.refused).join("|");
    if (refused.dataset.key === key) return;
    refused.dataset.key = key;
    refused.replaceChildren(...list.map((e) => h("div", { class: "told brief" },
      h("p", {}, h("b", {}, `Not taken: ${e.label}${e.lamp ? `, ${e.lamp}` : ""} ${e.text || e.kind}. `), e.refused),
      h("button", { type: "button", onclick: () => amend(e) }, "Change"),
      h("button", { type: "button", onclick: () => queue.drop(e.id) }, "Drop"))));
  }

  const openDoubts = () => (v.state.again ?? []).filter((d) => !settled.has(d.lamp + d.label + d.found));

  function showDoubts() {
    const list = openDoubts().map((d) => ({ ...d, lamp: d.lamp ?? "" }));
    // The last one read comes first: the person still stands there.
    list.sort((a, b) => (v.cells[b.lamp]?.[b.label]?.at ?? 0) - (v.cells[a.lamp]?.[a.label]?.at ?? 0));
    const key = JSON.stringify(list);
    if (doubts.dataset.key === key) return;
    doubts.dataset.key = key;
    const d = list[0];
    if (!d) return doubts.replaceChildren();
    const more = list.length > 1 ? ` (and ${list.length - 1} more)` : "";
    doubts.replaceChildren(h("div", { class: "told brief" },
      h("p", {}, h("b", {}, `${d.label} again? `), d.text, more),
      keepFocus(h("button", { type: "button", onclick: () => jump(d.label, d.lamp) }, `Read ${d.label} again`)),
      keepFocus(h("button", { type: "button", onclick: () => { settled.add(d.lamp + d.label + d.found); render(); } }, "It is right"))));
    say(`${d.label} again? ${d.text}`);
  }

  function showPad() {
    if (active === cct) pad.show("kelvin");
    else if (active === tint) pad.show("tint");
    else pad.show(number, number === "level" ? (otherUnit[unit] ?? "") : "");
    for (const f of [level, cct, tint]) f.closest(".box").classList.toggle("at", f === active);
  }

  // What a person does.
  function press(k) {
    if (document.activeElement !== active) active.focus({ preventScroll: true });
    if (k.type !== undefined) typeInto(active, k.type);
    else if (k.mark) setMark(active, k.mark);
    else if (k.tenth !== undefined) setTenth(active, k.tenth);
    else if (k.act === "back") back(active);
    else if (k.act === "next") next();
    else if (k.act === "unit") changeUnit();
    else if (k.act === "sign") changeSign(active);
    else if (k.act === "needs") changeNeeds(active);
    else if (k.act === "marks" || k.act === "digits") {
      number = k.act === "marks" ? "marks" : "number";
      showPad();
    }
  }

  function next() {
    if (!v.state.editable) return;
    if (!level.value.trim()) return tell("Type a reading, or skip this place.");
    if (v.state.color && active === level) return cct.focus({ preventScroll: true });
    if (v.state.color && active === cct && cct.value.trim()) return tint.focus({ preventScroll: true });
    commit();
  }

  function commit() {
    let text = level.value.trim().replace(/\s+/g, " ");
    if (v.state.unit === "f") text = wholeNumber(text);
    if (unit !== v.state.unit && !/[a-z]\s*$/i.test(text.replace(/k$/i, ""))) text += ` ${unit}`;
    const before = cell();
    const of = tint.value.trim();
    const [entry] = queue.add(v.name, [{
      label: here, lamp, text, kind: repeat && isRead(before) ? "repeat" : "set",
      cct: cct.value.trim(), duv: /[MG]/i.test(of) ? "" : of, cc: /[MG]/i.test(of) ? of : "",
    }]);
    history.push({ entries: [entry], before: [before] });
    skipped().delete(here);
    const shown = `${here}  ${withUnit(text, v.state.unit)}${cct.value.trim() ? `  ${cct.value.trim()} K` : ""}`;
    if (here === v.state.reference?.label) postponed = 0;
    moveOn();
    tell(shown, `${shown}. Next ${here}, ${place()?.words}.`);
  }

  // The given order, but after every so many readings the reference comes between.
  function moveOn() {
    const of = cells();
    const from = returnTo ?? here;
    const onward = returnTo && !isRead(of[returnTo]) ? returnTo : nextPlace(walkOf(v.state, lamp), of, from, skipped());
    const since = sinceReference(of, v.state.reference);
    // Lamps alone need none: drift is told from the readings of all together.
    const due = lamp === "" && since - postponed >= (v.state.reference?.every ?? Infinity);
    const end = v.state.next?.[lamp]?.label ?? here;
    if (due && here !== v.state.reference.label) go(v.state.reference.label, { again: true, then: onward ?? end });
    else go(onward ?? end, { again: onward === null });
  }

  function go(to, { again = false, then = null, keep = false } = {}) {
    here = to;
    repeat = isRead(cells()[to]) && (again || to === v.state.reference?.label);
    returnTo = then;
    if (!keep) {
      unit = v.state.unit;
      for (const f of [level, cct, tint]) f.value = "";
    }
    told = "";
    focus();
    render();
  }

  function jump(to, toTheLamp = lamp) {
    if (toTheLamp !== lamp) {
      lamp = toTheLamp;
      postponed = 0;
    }
    // What is typed already comes along: who sees the wrong place taps the right one.
    go(to, { keep: true });
    say(`${here}, ${place().words}. ${why.textContent}`);
  }

  function toLamp(to) {
    lamp = to;
    postponed = 0;
    go(nextPlace(walkOf(v.state, lamp), cells(), null, skipped()) ?? here);
    say(`${lampNamed(lamp)}. Next ${here}, ${place().words}.`);
  }

  function skip() {
    if (returnTo) postponed = sinceReference(cells(), v.state.reference);
    else if (!isRead(cell())) skipped().add(here);
    const from = here;
    if (returnTo) go(returnTo);
    else moveOn();
    tell(`${from} skipped`, `${from} skipped. Next ${here}, ${place().words}.`);
  }

  function toggleRepeat() {
    if (!isRead(cell())) return tell("Nothing is read here yet.");
    repeat = !repeat;
    render();
    say(why.textContent);
  }

  function toReference() {
    const label = v.state.reference?.label;
    if (!label || label === here) return;
    go(label, { again: true, then: isRead(cell()) ? nextPlace(walkOf(v.state, lamp), cells(), here, skipped()) : here });
    say(`${here}, the reference.`);
  }

  function clear() {
    if (!isRead(cell()) || !v.state.editable) return;
    const before = cell();
    const [entry] = queue.add(v.name, [{ label: here, lamp, text: "", kind: "clear" }]);
    history.push({ entries: [entry], before: [before] });
    render();
    tell(`${here} cleared`);
  }

  // Undo takes back what was never sent, and otherwise writes what was before. A
  // further reading or a first one is emptied by its own time; a correction gets
  // its earlier text.
  function undo() {
    const last = history.pop();
    if (!last) return;
    const inverse = last.entries.flatMap((e, i) => {
      if (queue.recall(e.id)) return [];
      const { label, lamp } = e;
      const was = last.before[i];
      if (e.kind === "repeat" || (e.kind === "set" && !isRead(was))) return [{ label, lamp, text: "", kind: "clear", of: e.at }];
      if (!isRead(was)) return [];
      const back = (r, kind) => ({ label, lamp, text: r.text, cct: r.cct_k ?? "", duv: r.duv ?? "", cc: r.cc ?? "", kind });
      return [back(was, "set"), ...(was.repeats ?? []).map((r) => back(r, "repeat"))];
    });
    if (inverse.length > 0) queue.add(v.name, inverse);
    const [e] = last.entries;
    lamp = e.lamp;
    go(e.label);
    tell(last.entries.length > 1 ? `${last.entries.length} readings undone` : `${e.label} undone`);
  }

  function changeUnit() {
    if (!otherUnit[unit]) return;
    unit = otherUnit[unit];
    render();
  }

  function amend(e) {
    queue.drop(e.id);
    lamp = v.state.lamps.includes(e.lamp) ? e.lamp : lamp;
    if (!v.state.places.some((p) => p.label === e.label)) return;
    go(e.label, { again: e.kind === "repeat" });
    level.value = e.text ?? "";
    cct.value = e.cct ?? "";
    tint.value = e.duv || e.cc || "";
  }

  function paste(text = "") {
    if (!v.state.editable) return;
    openPaste({
      text, unit: v.state.unit, places: v.state.places, cells: cells(), here, lamp: lampNamed(lamp),
      enter(pairs) {
        const before = pairs.map((p) => cells()[p.label]);
        const entries = queue.add(v.name, pairs.map((p) => ({ label: p.label, lamp, text: v.state.unit === "f" ? wholeNumber(p.text) : p.text, kind: "set" })));
        history.push({ entries, before });
        postponed = 0;
        here = pairs.at(-1).label;
        go(nextPlace(walkOf(v.state, lamp), cells(), here, skipped()) ?? here);
        tell(`${pairs.length} readings pasted`, `${pairs.length} readings pasted. Next ${here}.`);
      },
    });
  }

  function tell(text, aloud = text) {
    setText(line, told = text);
    say(aloud);
  }

  function focus() {
    if (node.offsetParent !== null && !dialogOpen()) level.focus({ preventScroll: true });
  }

  const walk = (n) => jump(stepped(v.state.places, here, n));
  const letters = {
    n: () => walk(1), p: () => walk(-1), z: () => undo(), s: () => skip(), r: () => toggleRepeat(), t: () => toReference(), x: () => clear(),
    u: () => changeUnit(), l: () => toLamp(v.state.lamps[(v.state.lamps.indexOf(lamp) + 1) % v.state.lamps.length]),
    v: () => paste(), b: () => choose("big", other("big")), h: () => choose("hand", other("hand")), m: () => openMap(),
    "?": () => openMenu({ keys: true }),
  };
  const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

  // Keys work wherever the focus is, except where it wants them for itself.
  function key(e) {
    if (node.offsetParent === null || dialogOpen()) return;
    const at = document.activeElement;
    const mine = at === level || at === cct || at === tint;
    if (!mine && /^(INPUT|SELECT|TEXTAREA)$/.test(at?.tagName ?? "")) return;
    const empty = !(mine ? at : level).value;
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && empty) return act(e, () => undo());
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    if (e.key === "Enter" && (mine || !/^(BUTTON|A|SUMMARY)$/.test(at?.tagName ?? ""))) return act(e, () => (mine || focus(), next()));
    if (e.key === "Escape") return act(e, () => go(here));
    if (e.key === "PageDown" || e.key === "PageUp") return act(e, () => walk(e.key === "PageDown" ? 1 : -1));
    if (steps[e.key] && (empty || steps[e.key][1])) return act(e, () => jump(neighbor(v.state.places, here, ...steps[e.key])));
    if (empty && letters[e.key]) return act(e, letters[e.key]);
    // Anything else that is a character belongs to the reading.
    if (!mine && e.key.length === 1 && e.key !== " ") level.focus({ preventScroll: true });
  }

  function act(e, does) {
    e.preventDefault();
    does();
  }

  function pasted(e) {
    if (node.offsetParent === null || dialogOpen()) return;
    const text = e.clipboardData?.getData("text") ?? "";
    if (valuesOf(text).length < 2) return;
    e.preventDefault();
    paste(text);
  }

  return {
    node, render, jump, key, pasted, tell, hush: () => tell(""),
    shown: (yes) => yes && focus(),
    actions: () => [
      { text: "Paste many readings", run: () => paste() },
      { text: "Keys", run: () => openMenu({ keys: true }) },
    ],
  };
}

function field(name, caption) {
  // No keyboard of the phone's own: the keypad is larger and knows the marks.
  return h("input", { id: `in-${name}`, type: "text", inputmode: "none", autocomplete: "off", autocorrect: "off", spellcheck: "false", enterkeyhint: "next", "data-caption": caption });
}

function box(input, ...more) {
  const aloud = input.id === "in-tint" && h("span", { class: "unseen" }, ", green–magenta as Duv, or needs M or G");
  return h("div", { class: `box ${input.id}` }, h("label", { for: input.id }, input.dataset.caption, aloud), input, more);
}
