// What is in the folder, and what can be begun.

import { get, textOf } from "./api.js";
import { h, plural, put, setText } from "./dom.js";
import { firstVisit, firstWays } from "./first.js";
import { header, openMenu } from "./menu.js";
import { beginMorning } from "./trim.js";

const verdicts = { pass: "within tolerance", fail: "out of tolerance", unsure: "not settled" };

const FEW = 12; // surveys that need no search
const MOST_SHOWN = 60; // shown at once
const A_SURVEY = 49_000; // bytes in a report, of one of 45 places

export function folderView() {
  const list = h("ul", { class: "surveys" });
  const empty = h("p", { class: "note" });
  const problems = h("div", {});
  const search = h("input", { id: "search", type: "search", autocomplete: "off", placeholder: "name, date or verdict", oninput: showList });
  const searched = h("div", { class: "asked", hidden: true }, h("label", { for: "search" }, "Search"), search);
  const links = h("nav", { class: "lines", "aria-label": "Whole folder", hidden: true });
  const dials = h("a", { class: "button", href: "#/dials" }, "A lamp’s dimmer");
  const first = firstVisit();
  const ways = firstWays((text) => (empty.textContent = text));
  const node = h("div", { class: "folder" }, first,
    h("div", { class: "lines begin-lines" }, h("a", { class: "button primary", href: "#/new" }, "A surface: is it even?"), h("a", { class: "button", href: "#/marks" }, "Key and fill at marks"), dials), ways, links,
    h("h2", {}, "Surveys in this folder"), searched, empty, list, problems);
  let folder = null;
  let again = 0;

  async function load() {
    try {
      folder = await get("/api/folder");
    } catch (error) {
      empty.textContent = textOf(error);
      again = setTimeout(load, 2000);
      return;
    }
    if (document.contains(node)) header({ title: folder.title || "Evenfall" });
    folder.surveys.sort((a, b) => b.changed - a.changed);
    searched.hidden = folder.surveys.length <= FEW;
    dials.hidden = folder.surveys.some((f) => f.dials); // lamps are added there
    first.hidden = ways.hidden = folder.surveys.length > 0;
    showList();
    put(problems, folder.problems.length > 0 && [
      h("h2", {}, "Not understood"),
      h("ul", { class: "problems" }, folder.problems.map((p) => h("li", {}, p.file && !p.text.startsWith(p.file) && h("b", {}, `${p.file} `), p.text)))]);
    links.hidden = !(folder.morning || folder.report || folder.matches?.length);
    put(links,
      folder.morning && h("button", { type: "button", onclick: () => beginMorning().catch((error) => (empty.textContent = textOf(error))) }, "Morning reset"),
      folder.report && h("a", { class: "button", href: "/report", target: "_blank" }, h("b", {}, "Report"), reportSize()),
      folder.matches?.length > 0 && h("a", { class: "button", href: "#/match" }, "Match with another day"));
  }

  // All words that are searched for are to be in a card.
  function showList() {
    const wanted = searched.hidden ? [] : search.value.toLowerCase().split(/\s+/);
    const found = folder.surveys.map((f) => [f, card(f)]).filter(([, node]) => wanted.every((word) => node.textContent.toLowerCase().includes(word)));
    put(list, found.slice(0, MOST_SHOWN).map(([, node]) => node));
    setText(empty, folder.surveys.length === 0 ? "None yet. A survey is a CSV file with a row a reading."
      : searched.hidden ? "" : `${found.length} of ${folder.surveys.length}${found.length > MOST_SHOWN ? `; the last ${MOST_SHOWN} are shown` : ""}`);
  }

  // The report of many surveys is large: it says so before somebody opens it on a phone.
  function reportSize() {
    const bytes = folder.report_bytes || (folder.surveys.length > FEW && folder.surveys.length * A_SURVEY);
    return bytes > 1e6 && h("small", {}, `${folder.surveys.length} surveys, ${folder.report_bytes ? "" : "about "}${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`);
  }

  function card(f) {
    const size = f.lights ? `${plural(f.places, f.dials ? "setting" : "mark")}, ${plural(f.lights, f.dials ? "lamp" : "light")}` : f.columns ? `${f.columns} × ${f.rows} places` : plural(f.places, "place");
    return h("li", {}, h("a", { href: `#/s/${encodeURIComponent(f.name)}${f.editable ? "" : "/map"}` },
      h("b", {}, f.title), f.date && h("span", { class: "date" }, f.date), h("span", {}, `${size}, ${f.readings ? plural(f.readings, "reading") : "nothing read yet"}${f.verdict ? `; ${verdicts[f.verdict] ?? f.verdict}` : ""}`),
      h("span", { class: "note" }, f.editable ? f.name : `${f.name}, to look at only: ${f.why_not}`)));
  }

  load();
  return {
    node,
    show: () => header({ title: folder?.title || "Evenfall" }),
    menu: () => openMenu(),
    leave: () => clearTimeout(again),
  };
}
