// The menu: what this device is set to, how to bring in another one, and the keys.

import { Refusal, post } from "./api.js";
import { byId, h } from "./dom.js";
import { choose } from "./settings.js";

const keyList = [
  ["digits . k", "the reading; 5.6 7 is f/5.6 and 7 tenths; 116 fc has its own unit"],
  ["Enter", "next field, or save and go on"],
  ["Esc", "empty the field"],
  ["arrows", "to the place beside, above or below"],
  ["n  p", "next, previous place of the walk"],
  ["z", "undo"],
  ["s", "skip this place"],
  ["r", "read this place again, and keep both"],
  ["t", "to the reference"],
  ["x", "clear this place"],
  ["u", "other unit for this reading"],
  ["l", "next lamp"],
  ["v", "paste many readings"],
  ["b", "place in very large type, for a caller"],
  ["h", "keypad for the other hand"],
  ["m", "map and back"],
  ["?", "this list"],
];

const settings = [
  ["theme", "Light of this page", { dark: "dark", light: "light" }],
  ["hand", "Keypad for the", { right: "right hand", left: "left hand" }],
  ["big", "Place in very large type", { no: "no", yes: "yes, for a caller" }],
];

/** openMenu shows the menu. actions are more lines: {text, run}. */
export function openMenu({ actions = [], shared = false, keys = false } = {}) {
  const dialog = h("dialog", { class: "sheet", "aria-labelledby": "menu-title", onclose: () => dialog.remove() });
  const line = (a) => h("button", { type: "button", onclick: () => (dialog.close(), a.run()) }, a.text);
  dialog.append(
    h("div", { class: "sheet-head" }, h("h2", { id: "menu-title" }, keys ? "Keys" : "Menu"), h("button", { type: "button", onclick: () => dialog.close() }, "Close")),
    ...(keys ? [] : [...settings.map(choice), h("div", { class: "lines" }, actions.map(line)), shared && invitation()].filter(Boolean)),
    h("details", { open: keys }, h("summary", {}, "A keyboard alone does everything"),
      h("p", {}, "Letters act while the reading's field is empty."),
      h("dl", { class: "keys" }, keyList.map(([k, does]) => [h("dt", {}, k), h("dd", {}, does)]))),
    h("p", { class: "note" }, "Lamps are hot, stands are heavy, mains can kill, and bright sources harm eyes. Follow local codes and leave rigging and distribution to trained and licensed people."),
  );
  document.body.append(dialog);
  dialog.showModal();
}

function choice([name, caption, values]) {
  return h("fieldset", { class: "choice" }, h("legend", {}, caption),
    Object.entries(values).map(([value, text]) =>
      h("label", {}, h("input", { type: "radio", name: "set-" + name, value, checked: document.documentElement.dataset[name] === value, onchange: () => choose(name, value) }), h("span", {}, text))));
}

function invitation() {
  const place = h("div", { class: "invitation" });
  const ask = h("button", { type: "button" }, "Bring in another device");
  ask.addEventListener("click", async () => {
    try {
      const { url, qr_svg } = await post("/api/invite");
      const code = new DOMParser().parseFromString(qr_svg ?? "", "image/svg+xml").documentElement;
      place.replaceChildren(h("p", {}, "Open this address there. It works once."), h("p", { class: "address" }, url));
      if (code.nodeName === "svg") place.append(h("div", { class: "code", role: "img", "aria-label": "The address as a code for a camera" }, document.importNode(code, true)));
    } catch (error) {
      place.replaceChildren(h("p", { role: "alert" }, error instanceof Refusal ? error.message : String(error)));
    }
  });
  return h("div", {}, h("div", { class: "lines" }, ask), place);
}

/** dialogOpen tells whether keys belong to a dialog just now. */
export const dialogOpen = () => document.querySelector("dialog[open]") !== null;

/** header sets what stands above a view. */
export function header({ title, back = "", toggle = null }) {
  document.title = title === "Evenfall" ? title : `${title} – Evenfall`;
  byId("title").textContent = title;
  byId("back").hidden = back === "";
  byId("switch").hidden = toggle === null;
  if (toggle) {
    byId("switch").href = toggle.href;
    byId("switch").replaceChildren(toggle.text, h("small", {}, toggle.below ?? ""));
  }
}
