// Reading: one place, one reading, one thumb. It moves on at once and never waits for the
// program; what it shows comes from the last answer and the queue together.

import { textOf } from "./api.js";
import { changed, clockTime, h, keepFocus, openSheet, put, say, setAttributes, setText } from "./dom.js";
import { finishedPanel } from "./finished.js";
import { undoHistory } from "./history.js";
import { wholeNumber } from "./keypad.js";
import { keyboard } from "./keys.js";
import { marksMatrix, openLights } from "./marks.js";
import { dialogOpen, openMenu } from "./menu.js";
import { outagePanel } from "./outage.js";
import { openPaste, valuesOf } from "./paste.js";
import { openGoTo, placesGrid, readingOf } from "./places.js";
import { questionPanel, questionsOf, refusedLines } from "./questions.js";
import { queue } from "./queue.js";
import { readingFields } from "./reading.js";
import { stopRuler, verdictLines } from "./ruler.js";
import { choose, other } from "./settings.js";
import { readJSON, remove, write } from "./store.js";
import { beginAgain, beginScreen, beginTrim, trimBars } from "./trim.js";
import { isRead, lampNamed, neighbor, nextPlace, sinceReference, stepped, walkOf, withUnit } from "./walk.js";

// Answers and what can be done once all is read take the place of the keypad by themselves.
// For this long, in milliseconds, they take no tap: one that was meant for a digit must not
// answer or lead away.
const straying = 400;

/** entryPanel makes the parts of a survey v: {name, state, cells}. */
export function entryPanel(v, { openMap }) {
  const placeKey = `evenfall.place.${v.name}`;
  const draftKey = `evenfall.draft.${v.name}`;
  const kept = readJSON(placeKey, {});
  let lamp = v.state.lamps.includes(kept.lamp) ? kept.lamp : v.state.lamps[0];
  let returnTo = null; // where the walk goes on after the reference
  let postponed = 0; // readings since the reference when it was put off
  let message = ""; // the line under the reading
  let justRead = 0; // the time of the reading that was typed last, and when that was
  let committed = 0;
  let lastRead = null; // of this device, to be changed: {label, lamp}
  let note = ""; // of the reading at hand
  let flicker = ""; // seen there: yes or no
  let wanted = null; // a light at a mark that is being added
  let asked = null; // the question on the screen
  let chosen = false; // somebody went to this place, so that it is to be read though all are
  const skips = {}; // by lamp: labels that were skipped
  const history = undoHistory(v.name);
  const questions = questionsOf(v);

  const places = () => v.state.places;
  const walk = () => walkOf(v.state, lamp);
  const cells = () => v.cells[lamp] ?? {};
  const cell = () => cells()[here];
  const place = () => places().find((p) => p.label === here);
  const reference = () => v.state.reference?.label ?? "";
  const skipped = () => (skips[lamp] ??= new Set());
  const held = () => v.holds.under(lamp); // by other devices
  const unread = (from) => nextPlace(walk(), cells(), from, skipped(), held());
  let here = places().some((p) => p.label === kept.label) ? kept.label : (unread(null) ?? places()[0]?.label);
  // Who comes back goes on, and replaces nothing by mistake.
  if (isRead(cell()) && !(here === reference() && due())) here = unread(here) ?? here;
  if (v.state.lights && !kept.label) lamp = v.state.lamps.find((l) => (here = nextPlace(walkOf(v.state, l), v.cells[l] ?? {}, null, new Set()))) ?? ((here = places()[0]?.label), lamp);
  let repeat = isRead(cell()) && here === reference() && due(); // add a reading beside what is there

  // What is on the screen.
  const lamps = h("div", { class: "lamps", role: "group", "aria-label": "Lamps" });
  const label = h("p", { class: "label", id: "place" });
  const shape = h("span", { class: "shape question", "aria-hidden": "true", hidden: true });
  const words = h("p", { class: "words" });
  const why = h("p", { class: "why" });
  const fields = readingFields(v.state.unit, { commit, missing: () => tell("Type a reading, or skip this place."), typed, note: askNote, lastKelvin });
  const line = h("span", {});
  const change = keepFocus(h("button", { type: "button", class: "change", hidden: true, onclick: () => jump(lastRead.label, lastRead.lamp, { change: true }) }, "Change"));
  const lastLine = h("div", { class: "line" }, line, change);
  const refused = refusedLines(v, amend);
  const outage = outagePanel(v);
  const waiting = h("div", { class: "open" });
  const lights = Boolean(v.state.lights); // at marks: a matrix in place of a map, and the walk goes on to the next light
  const grid = lights ? marksMatrix((light, mark) => jump(mark, light)) : placesGrid((to) => jump(to), goTo);
  const bars = trimBars();
  const ruler = stopRuler();
  const verdicts = verdictLines();
  const question = questionPanel({ answer, later: putOff });
  const finished = finishedPanel(v, { jump, ask: (q) => ask(q), result: openMap, reference: toReference, toLamp });
  const tool = (text, does, aloud = null) => keepFocus(h("button", { type: "button", "aria-label": aloud && `${text}, ${aloud}`, onclick: does }, h("b", {}, text), h("small", {})));
  const flickers = (is) => () => ((flicker = flicker === is ? "" : is), typed(), render());
  const { dials } = v.state; // lamps over their dimmers
  const trimming = Boolean(v.state.trim); // every reading stands beside the one before it, and the program says what is next
  const begin = (does) => does.catch((error) => tell(textOf(error)));
  const tools = trimming ? {
    undo: tool("Undo", undo), go: tool("Other place", goTo), skip: tool("Start over", () => begin(beginTrim(v.state.trim.of))), again: tool("Done", () => begin(beginAgain(v.state.trim.of, v.name))),
  } : dials ? {
    undo: tool("Undo", undo), no: tool("No flicker", flickers("no")), yes: tool("Flickers", flickers("yes")), go: tool("Lamps", goTo),
  } : { undo: tool("Undo", undo), skip: tool("Skip", skip), again: tool("Again", toggleRepeat, "read it once more and keep both"), go: tool(lights ? "Lights" : "Go to", goTo) };
  const toolRow = h("div", { class: "tools" }, Object.values(tools));
  const keys = h("div", { class: "keys" }, fields.pad, question.keys, finished.keys);
  const latest = h("ol", { class: "latest", "aria-label": "Last readings" });
  const parts = {
    last: h("aside", { class: "last" }, h("p", { class: "small" }, "Last readings"), latest),
    ask: h("section", { class: "ask", "aria-label": "Entry" }, lamps, h("div", { class: "place" }, label, shape, h("div", {}, words, why)), fields.node, lastLine),
    stage: h("section", { class: "stage", "aria-label": "Map", tabindex: "0" }, outage.node, refused.node, waiting, finished.facts, v.state.then && verdicts.node, bars.node, grid.node, question.facts, ruler.node, !v.state.then && verdicts.node),
    tools: toolRow, keys,
  };

  const done = () => trimming ? v.state.trim.good && v.state.trim.since.length === v.state.trim.places.length : v.state.editable && unread(null) === null && !due() && !(lights && nextLamp() !== null);
  function due() {
    const since = sinceReference(cells(), reference());
    return lamp === "" && Boolean(reference()) && !held().has(reference()) && since - postponed >= (v.state.reference?.every ?? Infinity);
  }

  function render() {
    const s = v.state;
    if (wanted && s.lights[wanted.light]?.marks.includes(wanted.mark)) {
      ({ light: lamp, mark: here } = wanted);
      wanted = null;
      return go(here, { keep: true, chosen: true });
    }
    if (!place()) return;
    if (trimming && s.trim.next !== here && !chosen && fields.blank() && !queue.waiting(v.name).length) return go(s.trim.next);
    bars.show(s);
    grid.node.hidden = verdicts.node.hidden = trimming;
    if (asked && !questions.open().some((q) => q.at === asked.at && q.label === asked.label)) asked = null;
    // A question comes up of itself only right after its reading, or where no keypad would
    // go from under a thumb.
    const idle = done() && !chosen;
    const mine = Date.now() - committed < 2000 ? justRead : 0;
    if (!asked && fields.blank() && s.editable) asked = questions.pressing((q) => (q.at === mine || (idle && q.kind === "conflict"))) ?? null;
    const state = !s.editable ? "closed" : asked ? "question" : done() && !chosen && fields.blank() ? "finished" : "reading";
    for (const node of [parts.ask, parts.stage, keys]) node.dataset.state = state;
    toolRow.hidden = state !== "reading";
    const read = isRead(cell());
    showLamps();
    label.classList.toggle("light", lights && state !== "finished");
    setText(label, state === "finished" ? "✓" : lights ? (asked?.lamp ?? lamp) : (asked?.label ?? here));
    shape.hidden = !asked;
    if (asked) setText(shape, question.shape(asked));
    setText(words, trimming ? s.trim.say : state === "finished" ? finishedWords() : asked ? asked.words : place().words);
    setText(why, state === "finished" ? trimming ? "Leave the lamp as it is." : "To change or read a place again, tap it." : asked ? asked.text : reason());
    fields.node.hidden = state === "question" || state === "finished" || state === "closed";
    lastLine.hidden = fields.node.hidden || trimming; // the bars have what was read last
    fields.pad.hidden = state !== "reading";
    question.keys.hidden = question.facts.hidden = !asked;
    finished.keys.hidden = finished.facts.hidden = state !== "finished";
    if (asked) question.show(asked);
    if (state === "finished") finished.show(lamp, walk().length, questions.open(), nextLamp());
    if (changed(keys, [state, asked, finished.keys.textContent])) settle(state !== "reading");
    showLine();
    if (lights) fields.turnTo(s.lights[lamp]?.unit ?? s.unit);
    fields.show(Boolean(s.color));
    fields.bar(read && !trimming ? (repeat ? "Add beside" : `Replace ${shortOf(cell())}`) : "Next", onward());
    setAttributes(tools.undo, { disabled: history.last() ? null : "" });
    setText(tools.undo.lastChild, history.last());
    if (dials) for (const is of ["no", "yes"]) setAttributes(tools[is], { "aria-pressed": String((flicker || (read && cell().flicker) || "") === is) });
    else if (!trimming) setAttributes(tools.again, { "aria-pressed": String(repeat && read), disabled: read ? null : "" });
    refused.show();
    outage.show();
    showWaiting();
    const open = questions.marks(lamp);
    if (lights) grid.show(s, (light, p) => readingOf(v.cells[light]?.[p.label], { state: s, open: questions.marks(light), skipped: skips[light] ?? new Set(), held: v.holds.under(light), label: p.label, place: p }), asked?.lamp ?? lamp, asked?.label ?? here);
    else grid.show(s, (l, p) => readingOf(cells()[l], { state: s, open, skipped: skipped(), helpful: helpful(), held: held(), label: l, place: p }), state === "finished" ? "" : (asked?.label ?? here));
    v.holds.at(state === "reading" ? here : "", lamp);
    ruler.show(s);
    verdicts.show(s);
    showLatest();
    write(placeKey, JSON.stringify({ lamp, label: here }));
  }

  let settling = 0;
  function settle(inert) {
    clearTimeout(settling);
    keys.inert = inert;
    settling = setTimeout(() => { keys.inert = false; }, straying);
  }

  const finishedWords = () => (dials ? "All lamps are read at all settings" : lights ? "All lights are read at all marks" : lamp ? `${lampNamed(lamp)}: all ${walk().length} are read` : `All ${walk().length} are read`);
  const shortOf = (c) => (c.repeats?.length ? c.repeats.at(-1) : c).text;
  const nextLamp = () => v.state.lamps.find((l) => l !== lamp && nextPlace(walkOf(v.state, l), v.cells[l] ?? {}, null, new Set()) !== null) ?? null;

  // What Next goes to.
  function onward() {
    if (trimming) return `${here} again`;
    const next = nextPlace(walk(), { ...cells(), [here]: { text: "x" } }, returnTo ?? here, skipped(), held());
    return next ?? (lights ? nextLamp() : null) ?? "last";
  }

  function lastKelvin() {
    const all = Object.values(v.cells).flatMap((of) => Object.values(of)).flatMap((c) => [c, ...(c.repeats ?? [])]).filter((c) => c.cct_k);
    return Number(all.reduce((a, b) => (b.at > (a?.at ?? -Infinity) ? b : a), null)?.cct_k) || 0;
  }

  // Why this place, and what a reading here will do.
  function reason() {
    const s = v.state;
    if (trimming) return `Hold where it reads ${s.trim.goal}; ${place().words}`;
    if (!s.editable) return `Not to be filled in here: ${s.why_not}`;
    const how = lights ? `${s.lights[lamp]?.of?.[here] ?? s.lights[lamp]?.how ?? ""} ` : "";
    const count = (list) => list.filter((p) => isRead(cells()[p.label])).length;
    if (isRead(cell())) {
      const was = (cell().repeats?.at(-1) ?? cell()).shown ?? cell().text;
      const since = repeat && lamp === "" && here === reference() ? sinceReference(cells(), reference()) : 0;
      if (since > 0) return `Reference again: ${since} read since. It shows whether the light drifts.`;
      return how + (repeat ? `A repeat reading, in addition to ${was}` : `Replaces ${was}${cell().cct_k ? "; its color stays unless typed anew" : ""}`);
    }
    if (cell()?.again) return `${how}To be read again; ${cell().shown ?? cell().text} does not count`;
    if (held().has(here)) return `${how}${held().get(here)} is about to read it too`;
    if (skipped().has(here)) return `${how}Skipped before`;
    if (lights) return how;
    if (places().indexOf(place()) < (s.quick ?? 0)) return `Quick nine: ${count(places().slice(0, s.quick))} of ${s.quick} read`;
    return `${count(walk())} of ${walk().length} read` + (helpful() && helpful() !== here ? `; ${helpful()} would help most` : "");
  }

  function showLamps() {
    lamps.hidden = lights || v.state.lamps.length < 2;
    if (changed(lamps, [v.state.lamps, lamp])) put(lamps, v.state.lamps.map((l) =>
      keepFocus(h("button", { type: "button", "aria-pressed": String(l === lamp), onclick: () => toLamp(l) }, lampNamed(l)))));
  }

  // The last reading of this device, where it is now.
  function showLine() {
    const c = lastRead && v.cells[lastRead.lamp]?.[lastRead.label];
    const now = c && isRead(c) ? (c.repeats?.at(-1) ?? c) : null;
    const where = now?.waiting || c?.waiting ? "kept on this device" : now?.at > 0 ? `saved ${clockTime(now.at, true)}` : "saved";
    change.hidden = Boolean(message) || !now;
    setText(line, message || (now ? `${lights ? `${lastRead.lamp} at ` : ""}${lastRead.label}  ${now.shown ?? now.text}${now.cct_k ? `  ${now.cct_k} K` : ""}${now.duv ? ` ${now.duv}` : ""}  ${where}` : ""));
  }

  function showWaiting() {
    const list = questions.open().filter((q) => !(asked && q.label === asked.label && q.at === asked.at && q.lamp === asked.lamp));
    if (!changed(waiting, list.map((q) => [q.label, q.kind]))) return;
    put(waiting, list.slice(0, 2).map((q) => keepFocus(h("button", { type: "button", class: "notice", onclick: () => ask(q) },
      h("b", {}, q.kind === "conflict" ? `≠ ${q.label}: two readings` : `? ${q.label}: ${q.facts?.[1]?.[1] ?? "look"}`), h("span", {}, "answer")))),
      list.length > 2 && h("p", { class: "note" }, `and ${list.length - 2} more`));
  }

  function showLatest() {
    const all = Object.entries(cells()).flatMap(([l, c]) => [c, ...(c.repeats ?? [])].map((r) => ({ l, at: r.at, shown: r.shown ?? r.text }))).filter((r) => r.at > 0 && r.shown);
    const list = all.sort((a, b) => b.at - a.at).slice(0, 12);
    if (changed(latest, list)) put(latest, list.map((r) => h("li", {}, h("b", {}, r.l), h("span", {}, r.shown), h("small", {}, clockTime(r.at, true)))));
  }

  // The place where the gradient between the readings is steepest, "" for none. The
  // walk does not go there by itself, so that nobody is sent to and fro.
  const helpful = () => (lamp === "" && !due() && !isRead(cells()[v.state.helpful]) && v.state.helpful) || "";

  // Acts.
  function act(name, entries) {
    const priors = entries.map((e) => v.cells[e.lamp]?.[e.label] ?? null);
    const made = queue.add(v.name, entries);
    history.add(name, made, priors);
    return made;
  }

  const seen = (l) => cells()[l]?.seen ?? 0;

  function commit() {
    if (!v.state.editable) return;
    const reading = fields.value();
    const again = repeat && isRead(cell());
    const [made] = act(`${lights ? lamp : here} ${reading.text}`, [{ label: here, lamp, ...reading, kind: again ? "again" : "read", seen: again ? 0 : seen(here), ...(note && { note }), ...(flicker && { flicker }) }]);
    [justRead, committed] = [made.at, Date.now()];
    skipped().delete(here);
    if (here === reference()) postponed = 0;
    lastRead = { label: here, lamp };
    const shown = `${lights ? `${lamp} at ` : ""}${here}  ${withUnit(reading.text, v.state.lights?.[lamp]?.unit ?? v.state.unit)}${reading.cct ? `  ${reading.cct} K` : ""}`;
    moveOn();
    say(done() ? `${shown}. All are read.` : `${shown}. Next ${lights ? lamp : here}, ${place()?.words}.`);
  }

  function undo() {
    const last = history.undo();
    if (!last) return;
    asked = null;
    lamp = last.entries[0].lamp;
    go(last.entries[0].label, { chosen: true });
    tell(`Undone: ${last.name}`);
  }

  function ask(q) {
    questions.bring(q);
    asked = q;
    render();
    say(`${q.label}: ${q.text}`);
  }

  function answer(q, a) {
    questions.answer(q);
    asked = null;
    act(`${q.label} ${a.title.toLowerCase()}`, [{ label: q.label, lamp: q.lamp, kind: a.kind, of: a.of, was: a.was, text: a.text ?? "" }]);
    if (a.kind === "reread") {
      lamp = q.lamp;
      go(q.label, { then: isRead(cells()[here]) ? null : here });
    } else render();
    tell(`${q.label}: ${a.title.toLowerCase()}`);
  }

  function putOff(q) {
    questions.putOff(q);
    asked = null;
    render();
    focus();
  }

  // A refused entry goes back into the fields as it was typed.
  function amend(e) {
    queue.drop(e.id);
    if (v.state.lamps.includes(e.lamp)) lamp = e.lamp;
    if (!places().some((p) => p.label === e.label)) return;
    go(e.label, { again: e.kind === "again", chosen: true });
    fields.put(e);
    typed();
  }

  function typed() {
    message = "";
    showLine();
    if (fields.blank()) remove(draftKey);
    else write(draftKey, JSON.stringify({ lamp, label: here, repeat, note, flicker, ...fields.value() }));
  }

  function askNote() {
    const text = h("input", { id: "note-text", maxlength: "200", autocomplete: "off", value: note });
    const keep = () => {
      note = text.value.trim();
      typed();
      dialog.close();
      focus();
    };
    const dialog = openSheet("note-title", `Note on ${here}`, h("label", { for: "note-text" }, "Kept beside the reading, in the column note"), text,
      h("div", { class: "lines" }, h("button", { type: "button", class: "primary", onclick: keep }, "Keep")));
    text.addEventListener("keydown", (e) => e.key === "Enter" && keep());
    text.focus();
  }

  function paste(text = "") {
    if (!v.state.editable) return;
    openPaste({
      text, unit: v.state.unit, places: places(), cells: cells(), here, lamp: lampNamed(lamp),
      enter(pairs) {
        act(`${pairs.length} readings`, pairs.map((p) => ({ label: p.label, lamp, text: v.state.unit === "f" ? wholeNumber(p.text) : p.text, kind: "read", seen: seen(p.label) })));
        postponed = 0;
        go(unread(pairs.at(-1).label) ?? pairs.at(-1).label);
        tell(`${pairs.length} readings pasted`, `${pairs.length} readings pasted. Next ${here}.`);
      },
    });
  }

  // The given order, with the reference after every so many readings.
  // Lamps alone need none: drift is found from the readings of all lamps together.
  function moveOn() {
    if (trimming) return go(here);
    let onward = returnTo && !isRead(cells()[returnTo]) ? returnTo : unread(returnTo ?? here);
    if (lights && onward === null && nextLamp() !== null) {
      lamp = nextLamp();
      onward = unread(null);
    }
    if (due() && here !== reference()) go(reference(), { then: onward ?? here });
    else go(onward ?? here);
  }

  function go(to, { again = false, then = null, keep = false, chosen: pick = false } = {}) {
    here = to;
    chosen = pick;
    repeat = isRead(cell()) && (again || trimming || (to === reference() && due()));
    returnTo = then;
    message = "";
    if (!keep) {
      fields.put();
      note = flicker = "";
      remove(draftKey);
    }
    render();
    focus();
  }

  // Keep what is typed: whoever notices the wrong place taps the right one.
  function jump(to, toTheLamp = lamp, { change = false } = {}) {
    if (toTheLamp !== lamp) postponed = 0;
    lamp = toTheLamp;
    if (asked) putOff(asked);
    go(to, { keep: !change, chosen: true });
    if (!fields.blank()) typed();
    say(`${here}, ${place().words}. ${why.textContent}`);
  }

  function toLamp(to) {
    lamp = to;
    postponed = 0;
    go(unread(null) ?? here);
    say(`${lampNamed(lamp)}. Next ${here}, ${place().words}.`);
  }

  function toReference() {
    if (!reference()) return;
    go(reference(), { then: isRead(cell()) ? unread(here) : here, again: true, chosen: true });
    say(`${here}, the reference.`);
  }

  function goTo() {
    if (lights) return openLights(v.state, lamp, here, toMark);
    const open = questions.marks(lamp);
    openGoTo(v.state, (l, p) => readingOf(cells()[l], { state: v.state, open, skipped: skipped(), helpful: helpful(), held: held(), label: l, place: p }), (to) => jump(to));
  }

  // Another light or mark is planned first, where the table has none yet.
  function toMark(light, mark) {
    wanted = { light, mark };
    const also = dials && !v.state.lamps.includes(light) ? places().map((p) => p.label).filter((p) => p !== mark) : []; // a further lamp is read as the others are
    if (!v.state.lights[light]?.marks.includes(mark)) act(`${light} at ${mark}`, [mark, ...also].map((label) => ({ label, lamp: light, kind: "plan", text: "" })));
    render();
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
    message = text;
    showLine();
    say(aloud);
  }

  function focus() {
    if (fields.node.offsetParent !== null && !dialogOpen()) fields.focus();
  }

  const toLight = (dx, dy) => {
    const at = (list, x, n) => list[Math.min(list.length - 1, Math.max(0, list.indexOf(x) + n))];
    jump(at(places().map((p) => p.label), here, dx), at(v.state.lamps, lamp, dy));
  };
  const toStep = (n) => jump(stepped(places(), here, n));
  const toNextLamp = () => toLamp(v.state.lamps[(v.state.lamps.indexOf(lamp) + 1) % v.state.lamps.length]);
  const key = keyboard(fields, {
    next: fields.next, undo, restart: () => go(here, { chosen }), walk: toStep, step: lights ? toLight : (dx, dy) => jump(neighbor(places(), here, dx, dy)),
    letters: {
      n: () => toStep(1), p: () => toStep(-1), z: undo, s: skip, r: toggleRepeat, t: toReference, g: goTo, u: fields.changeUnit, l: toNextLamp,
      v: () => paste(), b: () => choose("big", other("big")), h: () => choose("hand", other("hand")), m: openMap, "?": () => openMenu({ keys: true }),
    },
  });

  function pasted(e) {
    const text = e.clipboardData?.getData("text") ?? "";
    if (dialogOpen() || valuesOf(text).length < 2) return;
    e.preventDefault();
    paste(text);
  }

  // Digits that were typed before a reload are there again.
  const draft = readJSON(draftKey, null);
  if (draft && places().some((p) => p.label === draft.label) && v.state.lamps.includes(draft.lamp)) {
    ({ lamp, label: here, repeat, note = "", flicker = "" } = draft);
    chosen = true;
    fields.put(draft);
  }

  const visible = (does) => (e) => parts.ask.isConnected && does(e);
  return {
    ...parts, render, jump, tell, key: visible(key), pasted: visible(pasted), answered: history.answered,
    shown: (yes) => yes && focus(),
    actions: () => [
      { text: "Paste many readings", run: () => paste() },
      ...(v.state.editable && !v.state.then && !dials ? [{ text: "Read all again, as another day", run: () => begin(beginAgain(v.name)) }] : []),
      ...(v.state.editable && !lights && !trimming && v.state.quantity === "illuminance" ? [{ text: "Luminance at the same places", run: () => begin(beginScreen(v.name)) }] : []),
      { text: "Keys", run: () => openMenu({ keys: true }) },
    ],
  };
}
