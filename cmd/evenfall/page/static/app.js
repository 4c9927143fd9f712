// Shows the view that the address names. Addresses are hashes, so that a view
// opens without asking the program for a page.

import { reach } from "./api.js";
import { matchView } from "./compare.js";
import { createView } from "./create.js";
import { devicesView } from "./devices.js";
import { newDialsView } from "./dialsnew.js";
import "./awake.js";
import { alarm, byId, setAttributes, setText } from "./dom.js";
import { folderView } from "./folder.js";
import { newMarksView } from "./marksnew.js";
import { openMenu } from "./menu.js";
import { queue } from "./queue.js";
import "./settings.js";
import { surveyView } from "./survey.js";

let current = null;
let address = "";

function route() {
  const [, first = "", name = "", panel = ""] = location.hash.split("/");
  const key = `${first}/${name}`;
  if (key !== address || !current) {
    current?.leave();
    address = key;
    current = opened(first, decodeURIComponent(name));
    byId("main").replaceChildren(current.node);
    scrollTo(0, 0);
  }
  document.body.dataset.view = first === "s" ? "survey" : first || "folder";
  current.show(panel === "map" ? "map" : "entry");
}

function opened(first, name) {
  switch (first) {
    case "s": return surveyView(name);
    case "new": return createView(name);
    case "marks": return newMarksView();
    case "dials": return newDialsView();
    case "devices": return devicesView(name);
    case "match": return matchView();
  }
  return folderView();
}

function showStatus() {
  const { text, trouble } = queue.status();
  setText(byId("status"), text);
  setAttributes(byId("status"), { class: trouble ? "trouble" : null });
  // Aloud only where it turns: a reader need not hear each reading saved.
  alarm(trouble ? text.replace(/^\d+ waiting: /, "Readings wait here: ") : "");
}

byId("menu-open").addEventListener("click", () => (current?.menu ?? openMenu)());
addEventListener("hashchange", route);
queue.addEventListener("change", showStatus);
reach.addEventListener("change", showStatus);
queue.start();
showStatus();
route();
