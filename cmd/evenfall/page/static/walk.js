// Where to read next, from what the program knows and what still waits here.
// All of it works without an answer from the program.

export const isRead = (cell) => Boolean(cell && !cell.again && cell.text);

/** unitNamed is a unit as people read it. */
export const unitNamed = (unit) => ({ f: "f-number", "cd/m2": "cd/m²", relative: "relative" })[unit] ?? unit;

/** withUnit is a typed level as it is to be shown. */
export function withUnit(text, unit) {
  if (!text) return "";
  if (unit === "f") return /^f/i.test(text) ? text : `f/${text}`;
  return /[a-z²]\s*$/i.test(text.replace(/k$/i, "")) || unit === "relative" ? text : `${text} ${unit}`;
}

/** merge lays what waits over what the program knows: lamp → label → cell. */
export function merge(state, waiting) {
  const cells = {};
  for (const lamp of state.lamps) cells[lamp] = { ...(state.cells?.[lamp] ?? {}) };
  for (const e of waiting) {
    const of = (cells[e.lamp] ??= {});
    const now = applied(of[e.label], e, state.unit);
    if (now) of[e.label] = now;
    else delete of[e.label];
  }
  return cells;
}

function applied(cell, e, unit) {
  const reading = { at: e.at, seen: e.at, text: e.text, shown: withUnit(e.text, unit), cct_k: e.cct || undefined, duv: e.duv, cc: e.cc, waiting: true };
  switch (e.kind) {
    case "undo": return e.prior ? { ...e.prior, waiting: true } : undefined;
    case "again": return isRead(cell) ? { ...cell, seen: e.at, waiting: true, repeats: [...(cell.repeats ?? []), reading] } : reading;
    case "meant": return { ...cell, text: e.text, shown: withUnit(e.text, unit), waiting: true };
    case "reread": return { ...cell, again: true, waiting: true };
    case "read": {
      if (!isRead(cell) || !cell.repeats?.length || e.seen !== cell.seen) return { ...reading, cct_k: e.cct || cell?.cct_k, repeats: cell?.repeats };
      return { ...cell, seen: e.at, waiting: true, repeats: [...cell.repeats.slice(0, -1), reading] };
    }
  }
  return { ...cell, waiting: true };
}

/** walkOf is the places asked for under a lamp: all of them with all lamps on, and
 * for a lamp alone as many as the program asks for. */
export function walkOf(state, lamp) {
  if (state.lights) return state.places.filter((p) => state.lights[lamp]?.marks.includes(p.label));
  const of = state.progress?.[lamp]?.of ?? state.places.length;
  return lamp !== "" && state.quick && of <= state.quick ? state.places.slice(0, state.quick) : state.places;
}

/** nextPlace is the next place of the walk that was not read: after from, then
 * from the start, then those that were skipped, then those that other devices hold; null
 * where all are read. */
export function nextPlace(places, cells, from, skipped, held = new Map()) {
  const start = places.findIndex((p) => p.label === from) + 1;
  const order = [...places.slice(start), ...places.slice(0, start)].filter((p) => !isRead(cells[p.label]));
  const rank = ({ label }) => (held.has(label) ? 4 : 0) + (skipped.has(label) ? 2 : 0) + (label === from ? 1 : 0);
  return order.sort((a, b) => rank(a) - rank(b))[0]?.label ?? null;
}

/** sinceReference counts the readings after the reference's last one; 0 where it
 * has none yet, for then it comes by itself. */
export function sinceReference(cells, reference) {
  if (!isRead(cells[reference])) return 0;
  const last = Math.max(0, ...times(cells[reference]));
  let since = 0;
  for (const label in cells) if (label !== reference) for (const at of times(cells[label])) if (at > last) since++;
  return since;
}

/** onFromLast is the place to read next with all lamps on by what the program knows: the
 * reference where it is due, then the quick places, then where it would help most, then the
 * rest of the walk, on from the one that was read last, from the reference only where nothing
 * else was; null where all are read. */
export function onFromLast({ places, quick, helpful, reference, cells: { "": cells = {} } }) {
  const latest = (label) => Math.max(0, ...times(cells[label]));
  if (reference && sinceReference(cells, reference.label) >= reference.every) return reference.label;
  const isReference = (label) => label === reference?.label;
  const read = Object.keys(cells).filter(latest);
  const from = read.sort((a, b) => isReference(a) - isReference(b) || latest(b) - latest(a))[0] ?? null;
  const next = (list) => nextPlace(list, cells, from, new Set());
  return next(places.slice(0, quick)) ?? helpful ?? next(places);
}

const times = (cell) => (isRead(cell) ? [cell, ...(cell.repeats ?? [])].map((r) => r.at ?? 0) : []);

/** neighbor is the place one step across (dx) and down (dy) the grid. */
export function neighbor(places, label, dx, dy) {
  const here = places.find((p) => p.label === label);
  if (!here?.column) {
    const i = places.indexOf(here);
    return places[Math.min(places.length - 1, Math.max(0, i + dx + dy))]?.label ?? label;
  }
  return places.find((p) => p.column === here.column + dx && p.row === here.row + dy)?.label ?? label;
}

/** stepped is the place n places on in the walk. */
export function stepped(places, label, n) {
  const i = places.findIndex((p) => p.label === label);
  return places[(i + n + places.length) % places.length].label;
}

/** lampNamed is a lamp as people read it; the lights at marks say themselves which are on. */
export const lampNamed = (lamp, state = {}) => (state.lights ? lamp : lamp === "" ? "All lamps on" : `${lamp} alone`);
