// The queue of readings that the program does not have yet. A reading goes into
// the browser's storage before anything else happens to it, and leaves it when
// the program has said that it is on disk, so that a reload or an outage loses
// nothing. Sending one twice does no harm: the program knows it by its place,
// lamp and time.
//
// Each tab keeps its own list, so that two tabs never write the same key. Who
// leaves signs off, and another tab takes the list over. A plain-http page has
// no locks, so a tab first claims a list and looks again a moment later.

import { Refusal, post, reach, serverTime, surveyPath } from "./api.js";
import { clockTime } from "./dom.js";
import { keys, randomName, read, readJSON, remove, write } from "./store.js";

const LIST = "evenfall.queue."; // + tab: its entries
const ALIVE = "evenfall.alive."; // + tab: when it was last seen
const CLAIM = "evenfall.claim."; // + tab: who is about to take its list over
const STALE = 90_000; // ms; timers of a hidden tab may run once a minute only
const BATCH = 200; // entries a call
const SLOWEST = 8_000; // ms between two tries

// Why the program cannot save, for the bar.
const unsaved = { disk_full: "disk full", read_only: "the folder is read-only", folder_gone: "the folder is gone" };

class Queue extends EventTarget {
  constructor() {
    super();
    this.tab = randomName();
    this.kept = write("evenfall.storage", "works"); // the browser's storage does
    this.memory = []; // the list where it does not
    this.busy = false;
    this.failures = 0;
    this.held = new Map(); // survey → {text, until}: the program refused the call
    this.stopped = null; // {text, short}: why the program cannot save
    this.last = 0;
    this.number = 0;
  }

  /** start signs on and takes over what tabs that are gone have left. */
  start() {
    const here = () => write(ALIVE + this.tab, String(Date.now()));
    here();
    setInterval(() => {
      here();
      this.adopt();
    }, 3000);
    // A page may come back from the browser's cache after it signed off.
    addEventListener("pageshow", here);
    addEventListener("pagehide", () => remove(ALIVE + this.tab));
    addEventListener("online", () => this.hurry());
    addEventListener("storage", (e) => {
      if (e.key?.startsWith(LIST)) this.changed();
    });
    reach.addEventListener("change", () => (reach.since === null ? this.hurry() : this.changed()));
    this.adopt();
    this.pump();
  }

  list() {
    return this.kept ? readJSON(LIST + this.tab, []) : this.memory;
  }

  save(list) {
    this.kept = write(LIST + this.tab, JSON.stringify(list));
    if (this.kept && list.length === 0) remove(LIST + this.tab);
    this.memory = this.kept ? [] : list;
    this.changed();
  }

  changed() {
    this.dispatchEvent(new Event("change"));
  }

  /** add keeps entries of a survey, each stamped with its time, and sends them. */
  add(survey, entries) {
    const made = entries.map((e) => {
      // Two entries of one device never share a time.
      this.last = Math.max(this.last + 1, serverTime());
      return { survey, id: `${this.tab}-${++this.number}`, at: this.last, ...e };
    });
    this.save([...this.list(), ...made]);
    this.pump();
    return made;
  }

  waiting(survey) {
    return this.list().filter((e) => e.survey === survey && !e.refused);
  }

  refused(survey) {
    return this.list().filter((e) => e.survey === survey && e.refused);
  }

  /** drop forgets an entry. */
  drop(id) {
    this.save(this.list().filter((e) => e.id !== id));
  }

  /** recall takes an entry back that was never sent; otherwise it is too late. */
  recall(id) {
    const found = this.list().find((e) => e.id === id && !e.tried);
    if (found) this.drop(id);
    return Boolean(found);
  }

  hurry() {
    this.failures = 0;
    this.held.clear();
    this.changed();
    this.pump();
  }

  async pump() {
    if (this.busy) return;
    clearTimeout(this.timer);
    const open = this.list().filter((e) => !e.refused);
    const now = Date.now();
    const first = open.find((e) => !((this.held.get(e.survey)?.until ?? 0) > now));
    if (!first) {
      if (open.length > 0) this.timer = setTimeout(() => this.pump(), SLOWEST);
      return;
    }
    // What is to be undone has to be done first: the answer says how.
    const ours = open.filter((e) => e.survey === first.survey);
    const untold = ours.findIndex((e, i) => e.undoes && !e.after && ours.slice(0, i).some((x) => x.id === e.undoes));
    const batch = ours.slice(0, untold > 0 ? Math.min(untold, BATCH) : BATCH);
    const ids = new Set(batch.map((e) => e.id));
    this.busy = true;
    this.save(this.list().map((e) => (ids.has(e.id) ? { ...e, tried: true } : e)));
    try {
      const entries = batch.map(({ survey, tried, undoes, prior, ...entry }) => entry);
      this.settle(first.survey, batch, await post(surveyPath(first.survey, "/entries"), { entries }));
      this.failures = 0;
      this.stopped = null;
      this.held.delete(first.survey);
    } catch (error) {
      this.failed(first.survey, error);
    }
    this.busy = false;
    this.changed();
    if (this.failures === 0) this.pump();
  }

  settle(survey, batch, answer) {
    const outcomes = new Map((answer?.entries ?? []).map((o) => [o.id, o]));
    // Sending the same again at once would never end.
    if (!batch.some((e) => outcomes.has(e.id))) throw new Error("an answer to no entry");
    this.save(
      this.list().flatMap((e) => {
        const o = outcomes.get(e.id);
        const undone = e.undoes && outcomes.get(e.undoes)?.undo;
        if (!o) return [undone ? { ...e, ...undone } : e];
        return o.outcome === "refused" ? [{ ...e, refused: o.text }] : [];
      }),
    );
    const answered = batch.map((e) => {
      const { outcome, undo, text } = outcomes.get(e.id) ?? {};
      return { ...e, outcome, undo, says: text, ...(outcome === "refused" && { text }) };
    });
    this.dispatchEvent(new CustomEvent("answer", { detail: { survey, state: answer.state, entries: answered } }));
  }

  failed(survey, error) {
    const refusal = error instanceof Refusal ? error : new Refusal(0, "", String(error));
    if (refusal.status >= 400 && refusal.status < 500) {
      // This survey's call is at fault: the others need not wait for it.
      this.held.set(survey, { text: refusal.message, until: Date.now() + SLOWEST });
      this.failures = 0;
      return;
    }
    this.failures++;
    this.stopped = refusal.status ? { text: refusal.message, short: unsaved[refusal.code] ?? refusal.message } : null;
    const delay = Math.min(SLOWEST, 500 * 2 ** (this.failures - 1));
    this.timer = setTimeout(() => this.pump(), delay * (0.8 + 0.4 * Math.random()));
  }

  /** elsewhere counts what other tabs of this browser have not sent. */
  elsewhere() {
    return keys(LIST)
      .filter((k) => k !== LIST + this.tab)
      .reduce((n, k) => n + readJSON(k, []).filter((e) => !e.refused).length, 0);
  }

  /** adopt takes over the lists of tabs that are gone. */
  adopt() {
    for (const key of keys(LIST)) {
      const tab = key.slice(LIST.length);
      if (tab === this.tab || Date.now() - Number(read(ALIVE + tab) ?? 0) < STALE) continue;
      if (Date.now() - Number(read(CLAIM + tab)?.split(" ")[1] ?? 0) < 2000) continue;
      write(CLAIM + tab, `${this.tab} ${Date.now()}`);
      setTimeout(() => this.takeOver(tab), 150);
    }
    for (const key of keys(ALIVE)) {
      // Signs of life of tabs that ended without a word and left nothing.
      const tab = key.slice(ALIVE.length);
      if (Date.now() - Number(read(key)) > STALE && read(LIST + tab) === null) remove(key);
    }
  }

  takeOver(tab) {
    if (read(CLAIM + tab)?.split(" ")[0] !== this.tab) return; // another was faster
    const theirs = readJSON(LIST + tab, []);
    const known = new Set(this.list().map((e) => e.id));
    this.save([...theirs.filter((e) => !known.has(e.id)), ...this.list()].sort((a, b) => a.at - b.at));
    if (this.kept) {
      remove(LIST + tab);
      remove(ALIVE + tab);
    }
    remove(CLAIM + tab);
    this.changed();
    this.pump();
  }

  /** status says in words where the readings are; trouble is true where somebody
   * should look. */
  status() {
    const open = this.list().filter((e) => !e.refused);
    const rejected = this.list().length - open.length;
    const others = this.elsewhere();
    const held = open.map((e) => this.held.get(e.survey)?.text).find(Boolean);
    const away = reach.since !== null && `no answer since ${clockTime(reach.since)}`;
    // The first that applies: its words, and whether it is trouble.
    const [text, trouble] = [
      open.length > 0 && this.stopped && !away && [`${open.length} not saved: ${this.stopped.short}`, true],
      open.length > 0 && (away || held) && [`${open.length} waiting: ${away || held}`, true],
      open.length > 0 && [`saving ${open.length}`, false],
      reach.barred && [reach.barred, true],
      others > 0 && [`${others} waiting in another tab`, false],
      away && [`${away}; readings wait here`, true],
      ["all saved", false],
    ].find(Boolean);
    const parts = [
      text,
      rejected > 0 && `${rejected} refused`,
      others > 0 && open.length > 0 && `${others} in another tab`,
      !this.kept && "this browser keeps nothing: leave the page open",
    ];
    return { text: parts.filter(Boolean).join("; "), trouble: trouble || !this.kept };
  }
}

export const queue = new Queue();
