// One survey on the screen: what the program knows of it, what waits here, and
// the two panels that show both. On a phone one panel is shown at a time.

import { Refusal, get, post, reached, surveyPath } from "./api.js";
import { alarm, changed, h, put } from "./dom.js";
import { entryPanel } from "./entry.js";
import { holdsOf } from "./holds.js";
import { header, openMenu } from "./menu.js";
import { queue } from "./queue.js";
import { resultPanel } from "./result.js";
import { merge } from "./walk.js";

/** surveyView opens a survey; show changes the panel, leave ends it. */
export function surveyView(name) {
  const node = h("div", { class: "survey" }, h("p", { class: "note" }, "Opening …"));
  const v = { name, state: null, cells: {}, folder: null, holds: holdsOf(name, () => render()) };
  const notices = h("div", { class: "notices" });
  let entry = null;
  let result = null;
  let panel = "entry";
  let ended = false;

  function take(state) {
    // Answers may arrive out of order: ignore older ones.
    if (!state || (v.state && state.revision < v.state.revision)) return;
    // An answer to an entry may come before the result: keep the last one meanwhile.
    if (state.result_pending && v.state) {
      const { result, result_words, maps, questions, judgments, ruler, to_do } = v.state;
      state = { ...state, result, result_words, maps, questions: state.questions.concat((questions ?? []).filter((q) => q.kind === "suspect")), judgments, ruler, to_do };
    }
    v.state = state;
    v.holds.take(state.held);
    v.cells = merge(v.state, queue.waiting(name));
    if (!entry) {
      entry = entryPanel(v, { openMap: () => (location.hash = panel === "map" ? v.entryHash() : v.mapHash()) });
      result = resultPanel(v, { jump, read: () => (location.hash = v.entryHash()) });
      show(panel);
    }
    render();
  }

  function render() {
    if (!entry) return;
    v.cells = merge(v.state, queue.waiting(name));
    showNotices();
    entry.render();
    if (panel === "map") result.render();
  }

  // A tap changes the queue several times: its readings count at once, what is shown of
  // them once.
  let soon = false;
  function queued() {
    if (!entry) return;
    v.cells = merge(v.state, queue.waiting(name));
    if (!soon) queueMicrotask(() => ((soon = false), render()));
    soon = true;
  }

  // The hash changes first, so that the panel is there to take the focus.
  function jump(label, lamp) {
    location.hash = v.entryHash();
    show("entry");
    entry.jump(label, lamp);
  }

  function showNotices() {
    const list = v.state.notices ?? [];
    if (!changed(notices, list)) return;
    const seen = (n) => post(surveyPath(name, `/notices/${n.id}/dismiss`)).then(load, () => {});
    put(notices, list.map((n) => h("div", { class: "notice", role: "status" }, h("p", {}, n.text), h("button", { type: "button", onclick: () => seen(n) }, "Seen"))));
  }

  // One question at a time: events and failures may ask for more meanwhile.
  let loading = false;
  let wanted = false;
  let again = 0;
  async function load() {
    wanted = loading;
    if (loading || ended) return;
    loading = true;
    clearTimeout(again);
    try {
      take(await get(surveyPath(name)));
    } catch (error) {
      if (ended) return;
      loading = false;
      if (!(error instanceof Refusal)) throw error;
      if (!v.state) {
        if (error.status === 404) events?.close();
        header({ title: name, back: "#/" });
        node.replaceChildren(h("p", { class: "note", role: "alert" }, error.message), h("p", {}, h("a", { href: "#/", class: "button" }, "All surveys")));
      }
      if (error.status === 0 || error.status >= 500) again = setTimeout(load, 2000);
    }
    loading = false;
    if (wanted) load();
  }

  // Changes of other devices come as events. A hidden page listens to none, since
  // a browser has only a handful of connections for all its tabs.
  let events = null;
  let listenAgain = 0;
  function listen() {
    events?.close();
    events = null;
    clearTimeout(listenAgain);
    if (ended || document.hidden) return;
    events = new EventSource(surveyPath(name, "/events"));
    events.addEventListener("open", () => {
      reached(true);
      load();
    });
    events.addEventListener("revision", (e) => {
      if (JSON.parse(e.data).revision !== v.state?.revision) load();
    });
    events.addEventListener("held", (e) => v.holds.take(JSON.parse(e.data)));
    events.addEventListener("error", () => {
      // Closed for good means that the program said no; ask it for the reason.
      if (events?.readyState === EventSource.CLOSED && v.state) listenAgain = setTimeout(listen, 5000);
      load();
    });
  }

  function answered({ detail }) {
    if (detail.survey !== name) return;
    for (const e of detail.entries) {
      if (e.outcome === "refused") alarm(`${e.label} not accepted: ${e.text}`);
      else if (e.says) entry?.tell(e.says);
    }
    entry?.answered(detail.entries);
    take(detail.state);
    // The answer comes before the map is drawn.
    if (detail.state?.result_pending) load();
  }

  function show(which) {
    panel = which;
    const then = v.state?.then;
    header({ title: v.state?.title || name, back: then ? `#/s/${encodeURIComponent(then.of)}/map` : "#/", tabs: then ? null : { read: v.entryHash(), result: v.mapHash(), at: which } });
    if (!entry) return;
    const parts = which === "map" ? [result.stage, result.ask, result.keys] : [entry.last, entry.stage, entry.ask, entry.tools, entry.keys];
    node.dataset.panel = which;
    if (node.firstChild !== notices || node.children[1] !== parts[0]) node.replaceChildren(notices, ...parts);
    if (which === "map") result.render();
    entry.shown(which === "entry");
  }
  v.entryHash = () => `#/s/${encodeURIComponent(name)}`;
  v.mapHash = () => `${v.entryHash()}/map`;

  const onKey = (e) => entry?.key(e);
  const onPaste = (e) => entry?.pasted(e);
  document.addEventListener("keydown", onKey);
  document.addEventListener("paste", onPaste);
  document.addEventListener("visibilitychange", listen);
  queue.addEventListener("change", queued);
  queue.addEventListener("answer", answered);
  load();
  listen();
  get("/api/folder").then((f) => { v.folder = f; render(); }, () => {});

  return {
    node,
    show,
    menu: () => openMenu({ survey: name, actions: entry?.actions() ?? [] }),
    leave() {
      ended = true;
      v.holds.leave();
      result?.leave();
      events?.close();
      clearTimeout(again);
      clearTimeout(listenAgain);
      document.removeEventListener("keydown", onKey);
      document.removeEventListener("paste", onPaste);
      document.removeEventListener("visibilitychange", listen);
      queue.removeEventListener("change", queued);
      queue.removeEventListener("answer", answered);
    },
  };
}
