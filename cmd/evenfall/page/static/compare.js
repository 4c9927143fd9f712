// Lighting ratio, and today's light against another day's: the words that the
// commands print, and what they were read from.

import { Refusal, get } from "./api.js";
import { h } from "./dom.js";
import { header } from "./menu.js";

/** ratioView shows the folder's lighting ratios. */
export function ratioView() {
  return view("Lighting ratio", async (into) => into(await get("/api/ratio")));
}

/** matchView compares two surveys of the folder. */
export function matchView() {
  return view("Match with another day", async (into, node) => {
    const { matches = [] } = await get("/api/folder");
    const choice = h("select", { id: "match-pair" }, matches.map((m, i) => h("option", { value: i }, `${m.before} → ${m.after}`)));
    const show = async () => {
      const m = matches[choice.value];
      if (m) into(await get(`/api/match?before=${encodeURIComponent(m.before)}&after=${encodeURIComponent(m.after)}`));
    };
    choice.addEventListener("change", show);
    node.prepend(h("div", { class: "asked" }, h("label", { for: "match-pair" }, "From one day to the other"), choice));
    await show();
  });
}

function view(title, load) {
  const answer = h("div", {}, h("p", { class: "note" }, "Opening …"));
  const node = h("div", { class: "compare" }, answer);
  const into = ({ words = [], tables = [] }) => answer.replaceChildren(
    h("dl", { class: "answer" }, words.flatMap((w, i) => [w.key && w.key !== words[i - 1]?.key && h("dt", {}, w.key), h("dd", {}, w.text)]).filter(Boolean)),
    ...tables.map(table));
  load(into, node).catch((error) => answer.replaceChildren(h("p", { class: "note", role: "alert" }, error instanceof Refusal ? error.message : String(error))));
  return { node, show: () => header({ title, back: "#/" }), leave() {} };
}

function table({ title, header: head, rows }) {
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": title },
    h("table", {}, h("caption", {}, title), h("thead", {}, h("tr", {}, head.map((t) => h("th", { scope: "col" }, t)))),
      h("tbody", {}, rows.map((r) => h("tr", {}, r.map((t, i) => (i === 0 ? h("th", { scope: "row" }, t) : h("td", {}, t))))))));
}
