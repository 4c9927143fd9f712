// What is said where readings wait here: why, where they are, and what can be done. Typing
// goes on meanwhile.

import { reach } from "./api.js";
import { changed, h, plural, put } from "./dom.js";
import { queue } from "./queue.js";

/** outagePanel makes the words for a survey v. */
export function outagePanel(v) {
  const node = h("div", { class: "outage", role: "status" });
  return {
    node,
    show() {
      const waiting = queue.waiting(v.name);
      const why = queue.stopped?.text ?? (reach.since !== null ? "The program does not answer." : "");
      const n = why ? waiting.length : 0;
      if (!changed(node, [n, why])) return;
      put(node, n > 0 && h("div", { class: "notice brief" },
        h("p", {}, h("b", {}, `${why} `), `Go on reading. ${plural(n, "entry", "entries")} ${n === 1 ? "is" : "are"} on this device only, and sent again by ${n === 1 ? "itself" : "themselves"}; what was saved before is untouched. Leave this page open.`),
        h("button", { type: "button", onclick: () => queue.hurry() }, "Try now"),
        h("button", { type: "button", onclick: () => save(v, waiting) }, `Save the ${n} as a file`)));
    },
  };
}

const headers = { f: "f", relative: "level", "cd/m2": "L (cd/m2)" };

/** waitingTable is entries as a table that every command reads beside the survey's own. */
export function waitingTable({ unit }, entries) {
  const rows = entries.map((e) => {
    const reading = e.kind === "read" || e.kind === "again";
    const act = reading ? (e.kind === "again" ? "again" : "") : `${e.kind} ${e.text || e.was || ""}`.trim();
    return [e.label, e.lamp, localTime(e.at), reading ? e.text : "", e.cct, e.duv, e.cc, [act, e.note].filter(Boolean).join("; ")];
  });
  const all = [["label", "lamp", "time", headers[unit] ?? `E (${unit})`, "CCT (K)", "Duv", "CC", "note"], ...rows];
  // Columns that say nothing are left out.
  const used = all[0].map((_, i) => i === 0 || i === 2 || i === 3 || rows.some((r) => r[i]));
  return all.map((row) => row.filter((_, i) => used[i]).map(quoted).join(",") + "\n").join("");
}

const quoted = (text = "") => {
  const safe = /^[=+@]/.test(text) ? `'${text}` : text;
  return /[",\n\r]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
};

// localTime is a moment as the page writes it: with the zone's offset.
function localTime(ms) {
  const offset = -new Date(ms).getTimezoneOffset();
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  return new Date(ms + offset * 60_000).toISOString().slice(0, 19) + (offset < 0 ? "-" : "+") + `${two(offset / 60)}:${two(offset % 60)}`;
}

function save(v, entries) {
  const url = URL.createObjectURL(new Blob([waitingTable(v.state, entries)], { type: "text/csv" }));
  const link = h("a", { href: url, download: `${v.name.replace(/\.\w+$/, "")}-waiting.csv` });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
