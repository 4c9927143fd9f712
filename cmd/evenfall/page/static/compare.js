// Today's light against another day's: the words that the command prints, and a table of
// what they were made of.

import { answerWords } from "./answer.js";
import { Refusal, get, textOf } from "./api.js";
import { h, put, scroller, table } from "./dom.js";
import { header } from "./menu.js";

/** matchView compares two surveys of the folder. */
export function matchView() {
  return view("Match with another day", async (into, node) => {
    const { matches = [] } = await get("/api/folder");
    const choice = h("select", { id: "match-pair" }, matches.map((m, i) => h("option", { value: i }, m.title ?? `${m.before} → ${m.after}`)));
    const show = async () => {
      const m = matches[choice.value];
      if (!m) throw new Refusal(404, "no_match", "The folder has no two surveys of one surface.");
      into(await get(`/api/match?before=${encodeURIComponent(m.before)}&after=${encodeURIComponent(m.after)}`), matchTable);
    };
    choice.addEventListener("change", () => show().catch(into.failed));
    node.prepend(h("div", { class: "asked" }, h("label", { for: "match-pair" }, "From one day to the other"), choice));
    await show();
  });
}

function view(title, load) {
  const answer = h("div", {}, h("p", { class: "note" }, "Opening …"));
  const node = h("div", { class: "compare" }, answer);
  const words = answerWords();
  const into = (found, tableOf) => {
    const shown = tableOf(found.result ?? {});
    words.show(found.words ?? []);
    put(answer, words.verdict, words.rest, scroller(shown.title, table(shown)));
  };
  into.failed = (error) => put(answer, h("p", { class: "note", role: "alert" }, textOf(error)));
  load(into, node).catch(into.failed);
  return { node, show: () => header({ title, back: "#/" }), leave() {} };
}

// Figures as people write them; a cell without one stays empty.
const figure = (v) => (v === undefined ? "" : String(Number(v.toPrecision(3))));
const signed = (v, digits = 2) => (v === undefined ? "" : `${Number(v.toFixed(digits)) < 0 ? "−" : "+"}${Math.abs(v).toFixed(digits)}`);

function matchTable({ unit, points = [], marks }) {
  if (marks) {
    return {
      title: "Light by light",
      head: ["Light", "Before", "After", "Stops", "Mired"],
      rows: marks.pairs.map((p) => [`${p.mark} ${p.role}`, `${figure(p.before_level)} ${p.unit}`, `${figure(p.after_level)} ${p.unit}`, signed(p.stops), signed(p.mired_shift, 0)]),
    };
  }
  const color = points.some((p) => p.mired_shift !== undefined);
  return {
    title: "Place by place",
    head: ["Place", `Before, ${unit}`, `After, ${unit}`, "Stops", ...(color ? ["Mired"] : []), ""],
    rows: points.map((p) => [p.label || `${p.x_m}, ${p.y_m} m`, figure(p.before_level), figure(p.after_level), signed(p.stops), ...(color ? [signed(p.mired_shift, 0)] : []), p.left_out ? "in doubt" : ""]),
  };
}
