// What is in the folder, and what can be begun.

import { get, textOf } from "./api.js";
import { h, plural, put } from "./dom.js";
import { header, openMenu } from "./menu.js";
import { beginMorning } from "./trim.js";

const verdicts = { pass: "within tolerance", fail: "out of tolerance", unsure: "not settled" };

export function folderView() {
  const list = h("ul", { class: "surveys" });
  const empty = h("p", { class: "note" });
  const problems = h("div", {});
  const links = h("nav", { class: "lines", "aria-label": "Whole folder", hidden: true });
  const node = h("div", { class: "folder" },
    h("div", { class: "lines" }, h("a", { class: "button primary", href: "#/new" }, "A surface: is it even?"), h("a", { class: "button", href: "#/marks" }, "Key and fill at marks")), links,
    h("h2", {}, "Surveys in this folder"), empty, list, problems);
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
    empty.textContent = folder.surveys.length === 0 ? "None yet. A survey is a CSV file with a row a reading." : "";
    put(list, [...folder.surveys].sort((a, b) => b.changed - a.changed).map(card));
    put(problems, folder.problems.length > 0 && [
      h("h2", {}, "Not understood"),
      h("ul", { class: "problems" }, folder.problems.map((p) => h("li", {}, p.file && !p.text.startsWith(p.file) && h("b", {}, `${p.file} `), p.text)))]);
    links.hidden = !(folder.morning || folder.report || folder.matches?.length);
    put(links,
      folder.morning && h("button", { type: "button", onclick: () => beginMorning().catch((error) => (empty.textContent = textOf(error))) }, "Morning reset"),
      folder.report && h("a", { class: "button", href: "/report", target: "_blank" }, "Report"),
      folder.matches?.length > 0 && h("a", { class: "button", href: "#/match" }, "Match with another day"));
  }

  function card(f) {
    const size = f.lights ? `${plural(f.places, "mark")}, ${plural(f.lights, "light")}` : f.columns ? `${f.columns} × ${f.rows} places` : plural(f.places, "place");
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
