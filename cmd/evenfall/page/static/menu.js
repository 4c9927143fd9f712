// The menu: what this device is set to, the way to the devices, and the keys.

import { awake, watchAwake } from "./awake.js";
import { byId, choice, h, openSheet, setAttributes } from "./dom.js";
import { choose } from "./settings.js";

const keyList = [
  ["digits . k", "the reading; 5.6 7 is f/5.6 and 7 tenths; 116 fc has its own unit"],
  ["Enter", "next field, or save and go on"],
  ["Esc", "empty the field"],
  ["arrows", "to the next place left, right, above or below"],
  ["n  p", "next, previous place of the walk"],
  ["z", "undo"],
  ["s", "skip this place"],
  ["r", "read this place again, and keep both"],
  ["t", "to the reference"],
  ["g", "go to a place"],
  ["u", "other unit for this reading"],
  ["l", "next lamp"],
  ["v", "paste many readings"],
  ["b", "place in very large type, for a caller"],
  ["h", "keypad for the other hand"],
  ["m", "map and back"],
  ["?", "this list"],
];

const menuSettings = [
  ["theme", "Light of this page", { dark: "dark", light: "light", night: "night, red on black" }],
  ["hand", "Keypad for the", { right: "right hand", left: "left hand" }],
  ["big", "Place in very large type", { no: "no", yes: "yes, for a caller" }],
];

/** openMenu shows the menu. actions are more lines: {text, run}; survey is the one
 * on the screen. */
export function openMenu({ actions = [], survey = "", keys = false } = {}) {
  const stays = h("p", { class: "note", id: "awake" });
  const line = (a) => h("button", { type: "button", onclick: () => (dialog.close(), a.run()) }, a.text);
  const dialog = openSheet("menu-title", keys ? "Keys" : "Menu",
    !keys && [menuSettings.map(menuSetting), h("div", { class: "lines" }, h("a", { class: "button", href: `#/devices/${encodeURIComponent(survey)}`, onclick: () => dialog.close() }, "Devices"), actions.map(line)), stays],
    h("details", { open: keys }, h("summary", {}, "A keyboard alone does everything"),
      h("p", {}, "Letters act while the reading's field is empty."),
      h("dl", { class: "keylist" }, keyList.map(([k, does]) => [h("dt", {}, k), h("dd", {}, does)]))),
    h("p", { class: "note" }, "Lamps are hot, stands are heavy, mains can kill, and bright sources harm eyes. Follow local codes and leave rigging and distribution to trained and licensed people."),
  );
  const show = () => (stays.textContent = `Screen stays on: ${awake()}`);
  dialog.addEventListener("close", watchAwake(show));
  show();
}

const menuSetting = ([name, caption, values]) => choice("set-" + name, caption, values, document.documentElement.dataset[name], (value) => choose(name, value));

/** dialogOpen tells whether keys belong to a dialog just now. */
export const dialogOpen = () => document.querySelector("dialog[open]") !== null;

/** header sets the bar of a view; tabs are its two ways to see a survey. */
export function header({ title, back = "", tabs = null }) {
  document.title = title === "Evenfall" ? title : `${title} – Evenfall`;
  byId("title").textContent = title;
  byId("back").hidden = back === "";
  byId("tabs").hidden = tabs === null;
  if (!tabs) return;
  for (const [id, href, at] of [["tab-read", tabs.read, "entry"], ["tab-result", tabs.result, "map"]]) {
    byId(id).href = href;
    setAttributes(byId(id), { "aria-current": tabs.at === at ? "page" : null });
  }
}
