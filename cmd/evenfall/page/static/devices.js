// The devices: who holds which place, how many readings each has sent, when it was seen
// last; to rename one, to end one, and to let another in.

import { deleteAt, get, post, surveyPath, textOf } from "./api.js";
import { changed, clockTime, h, openSheet, plural, put } from "./dom.js";
import { header, openMenu } from "./menu.js";
import { placesGrid, readingOf } from "./places.js";

const LOOK = 4_000; // ms between two looks

/** devicesView shows the devices, and of a survey where they are. */
export function devicesView(survey = "") {
  const surveyHash = `#/s/${encodeURIComponent(survey)}`;
  const list = h("ul", { class: "devices" });
  const wrong = h("p", { class: "wrong", role: "alert" });
  const grid = placesGrid(() => (location.hash = surveyHash), () => (location.hash = surveyHash));
  const lines = h("div", { class: "lines" });
  const invited = h("div", { class: "invitation" });
  grid.node.hidden = true;
  const node = h("div", { class: "folder" }, h("h2", {}, "Who reads where"),
    h("p", { class: "note" }, "The walk is shared out: each device gets the next place that no other one holds."),
    grid.node, list, wrong, lines, invited);
  let next = 0;
  let ended = false;

  async function load() {
    clearTimeout(next);
    try {
      show(await get("/api/devices"), survey && (await get(surveyPath(survey))));
      wrong.textContent = "";
    } catch (error) {
      wrong.textContent = textOf(error);
    }
    if (!ended) next = setTimeout(load, LOOK);
  }

  function show({ devices, shared, now }, state) {
    if (changed(list, devices.map((d) => [d, Math.floor((now - d.seen) / 20_000)]))) put(list, devices.map((d) => line(d, now, shared)));
    const here = devices.find((d) => d.you && d.survey === survey)?.label;
    if (changed(lines, [shared, here, state?.questions?.length])) put(lines,
      survey && h("a", { class: "button primary", href: surveyHash }, here ? `Go on at ${here}` : "Go on"),
      shared && h("button", { type: "button", class: survey ? null : "primary", onclick: invite }, "Let a device in"),
      state?.questions?.length > 0 && h("a", { class: "button", href: surveyHash }, plural(state.questions.length, "question")),
      !shared && h("p", { class: "note" }, "The page is open on this machine only. Phones and tablets can come in where the program is started with --lan."));
    grid.node.hidden = !state;
    if (!state) return;
    const holders = new Map(devices.filter((d) => d.survey === survey && !d.lamp).map((d) => [d.label, d.you ? "you" : d.name]));
    grid.show(state, (label, place) => readingOf(state.cells?.[""]?.[label], { state, open: new Map(), skipped: new Set(), helpful: "", held: holders, label, place }), here);
  }

  function line(d, now, shared) {
    const where = d.label ? `holds ${d.label}${d.lamp ? ` (${d.lamp})` : ""}${d.survey === survey ? "" : ` of ${d.survey.replace(/\.\w+$/, "")}`}` : "holds nothing";
    const ago = Math.round((now - d.seen) / 1000);
    const seen = d.you ? "" : ago < 90 ? `; seen ${ago} s ago` : `; not seen since ${ago < 43_200 ? clockTime(d.seen) : new Date(d.seen).toLocaleDateString()}`;
    return h("li", {}, h("div", {}, h("b", {}, d.name), d.you && " (this device)", h("p", { class: "note" }, `${where}; ${plural(d.readings, "reading")}${seen}`)),
      h("button", { type: "button", "aria-label": `Rename ${d.name}`, onclick: () => rename(d) }, "Rename"),
      shared && h("button", { type: "button", "aria-label": `Remove ${d.name}`, onclick: () => end(d) }, "Remove"));
  }

  const path = (d) => `/api/devices/${d.id}`;
  const say = (asked) => asked.then(load, (error) => (wrong.textContent = textOf(error)));

  function rename(d) {
    const text = h("input", { id: "device-name", maxlength: "30", autocomplete: "off", value: d.name });
    const form = h("form", {}, h("label", { for: "device-name" }, "Name that others see, and that is noted where two read one place"), text,
      h("div", { class: "lines" }, h("button", { class: "primary" }, "Rename")));
    const dialog = openSheet("rename", `Rename ${d.name}`, form);
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      dialog.close();
      say(post(path(d), { name: text.value }));
    });
    text.select();
  }

  function end(d) {
    const dialog = openSheet("remove", `Remove ${d.name}?`,
      h("p", {}, d.you ? "This device is not let in any more then. Readings that wait on it stay there." : "It is not let in any more then. What it sent stays; what waits on it stays there."),
      h("div", { class: "lines" }, h("button", { type: "button", class: "primary", onclick: () => (dialog.close(), say(deleteAt(path(d)))) }, "Remove")));
  }

  async function invite() {
    try {
      const { url, qr_svg, minutes } = await post("/api/invite");
      const code = new DOMParser().parseFromString(qr_svg ?? "", "image/svg+xml").documentElement;
      put(invited, h("p", {}, `Scan this with the other device, or open the address there, within ${minutes} minutes. It lets one device in.`),
        code.nodeName === "svg" && h("div", { class: "code", role: "img", "aria-label": "The address as a code for a camera" }, document.importNode(code, true)),
        h("p", { class: "address" }, url));
      invited.scrollIntoView({ block: "nearest" });
    } catch (error) {
      wrong.textContent = textOf(error);
    }
  }

  load();
  return {
    node,
    show: () => header({ title: "Devices", back: survey ? surveyHash : "#/" }),
    menu: () => openMenu(),
    leave() {
      ended = true;
      clearTimeout(next);
    },
  };
}
