// A new survey: what must be said first, the rest folded away. What was chosen
// last is filled in again, since the cloth is usually the same.

import { get, textOf } from "./api.js";
import { begun } from "./begin.js";
import { choice, h, put } from "./dom.js";
import { drawing } from "./drawing.js";
import { asked, askedLines, askedWhether, linesOf } from "./form.js";
import { header } from "./menu.js";
import { readJSON, write } from "./store.js";
import { FOOT, meters, today } from "./units.js";

const usual = { title: "", kind: "screen", length: "m", width: "4", height: "2.5", columns: "9", rows: "5", unit: "lx", color: false, lamps: "" };
const REACH = 2.5; // m above the lower edge without a ladder
const sides = ["x0", "y0", "x1", "y1"];
const units = { lx: "lux", fc: "footcandles", f: "f-number (flash)" };

export function createView(given = "") {
  const about = given ? JSON.parse(given) : {};
  const last = { ...usual, ...readJSON("evenfall.new", {}), ...about };
  const inputs = {};
  const kept = (name, box) => {
    inputs[name] = box.querySelector("input, textarea");
    return box;
  };
  const input = (name, caption, attributes = {}) => kept(name, asked(`new-${name}`, caption, { name, value: last[name] ?? "", ...attributes }));
  const decimal = { inputmode: "decimal" };
  const whole = { inputmode: "numeric" };
  const kindButtons = h("div", { class: "kinds" });
  const check = (name, caption, checked) => kept(name, askedWhether(`new-${name}`, caption, checked));
  const lengths = choice("length", "Lengths in", { m: "meters", ft: "feet" }, last.length, (to) => {
    const was = to === "ft" ? "m" : "ft";
    for (const n of ["width", "height", ...sides]) {
      const is = meters(inputs[n].value, was);
      if (Number.isFinite(is)) inputs[n].value = told(is);
    }
    show();
  });
  const unit = choice("unit", "The meter shows", units, last.unit);
  const grids = h("fieldset", { class: "choice" }, h("legend", {}, "Places across × down"),
    [["3", "3"], ["5", "3"], ["9", "5"]].map(([c, r]) => h("button", { type: "button", onclick: () => grid(c, r) }, `${c} × ${r}`)));
  const sketch = drawing((area) => setShot(area.map(told)));
  const allOfIt = h("button", { type: "button", onclick: () => setShot(sides.map(() => "")) }, "All of it");
  const tolerance = h("p", { class: "note" });
  const wrong = h("p", { class: "wrong", role: "alert" });
  const count = h("small", {});
  const where = h("b", {}, "Begin");
  const begin = h("button", { class: "primary begin", type: "submit" }, where, count);
  const form = h("form", { class: "new", novalidate: true },
    input("title", "Name of the surface", { required: true, value: about.title ?? "" }),
    kindButtons, tolerance,
    h("div", { class: "pair" }, input("width", "Width", { title: "4.8, 15'9\" or 15 ft 9 in" }), input("height", "Height")),
    lengths,
    grids,
    h("div", { class: "pair" }, input("columns", "Across", whole), input("rows", "Down", whole)),
    unit,
    input("date", "Date", { type: "date", value: today() }),
    check("color", "Color too: kelvins and green–magenta", last.color),
    wrong,
    h("div", { class: "lines" }, begin),
    h("fieldset", { class: "shot" }, h("legend", {}, "Part in shot"),
      h("p", { class: "note", id: "shot-how" }, "Drag its corners, or give its sides from the lower left. Without it the whole surface counts."),
      sketch.node,
      h("div", { class: "four" }, input("x0", "Left", decimal), input("y0", "Bottom", decimal), input("x1", "Right", decimal), input("y1", "Top", decimal)),
      h("div", { class: "lines" }, allOfIt)),
    h("details", {}, h("summary", {}, "More"),
      kept("lamps", askedLines("new-lamps", "Lamps to be read alone, one a line", 3)),
      h("div", { class: "pair" }, input("tolerance", "Tolerance"), input("repeatability_percent", "Repeatability of a reading, %", decimal)),
      h("div", { class: "pair" }, input("iso", "ISO", whole), input("shutter", "Shutter")),
      h("div", { class: "pair" }, input("reference", "Reference, the middle without it"), input("name", "Name of the file", { placeholder: "from the name" })),
      check("edges", "Outer places on the border"),
      check("order", "Quick nine first, then the rest", true)));
  inputs.lamps.value = last.lamps;

  const number = (name) => Number(inputs[name].value.trim().replace(",", "."));
  const inFeet = () => lengths.querySelector(":checked").value === "ft";
  const length = (name) => meters(inputs[name].value, inFeet() ? "ft" : "m");
  const told = (m) => String(Math.round((m / (inFeet() ? FOOT : 1)) * 100) / 100);
  const shot = () => (sides.every((n) => inputs[n].value.trim() === "") ? null : sides.map(length));

  function setShot(texts) {
    sides.forEach((n, i) => (inputs[n].value = texts[i]));
    show();
  }

  function grid(c, r) {
    inputs.columns.value = c;
    inputs.rows.value = r;
    show();
  }

  function show() {
    const [columns, rows] = [number("columns"), number("rows")];
    const edges = inputs.edges.checked || (columns === 3 && rows === 3); // as the program lays out nine
    const area = shot();
    allOfIt.disabled = area === null;
    sketch.show({
      width: length("width"), height: length("height"), feet: inFeet(), columns, rows, edges,
      area: area?.every(Number.isFinite) ? area : null,
      reference: { column: Math.floor(columns / 2), row: Math.floor(rows / 2) },
    });
    count.textContent = columns * rows > 0 ? `${columns * rows} places, about ${Math.max(1, Math.round((columns * rows * 13) / 60))} minutes` : "";
    for (const b of grids.querySelectorAll("button")) b.setAttribute("aria-pressed", String(b.textContent === `${columns} × ${rows}`));
    where.textContent = columns * rows > 1 ? `Begin at ${firstPlace(columns, rows, length("height"), edges)}` : "Begin";
    const k = kinds.find((k) => k.name === kind());
    tolerance.textContent = k ? `Usually within ${k.stops} stop` + (k.good_stops ? `, good within ${k.good_stops}` : "") : "";
  }

  let kinds = [];
  const kind = () => kindButtons.querySelector(":checked")?.value ?? last.kind;
  get("/api/form").then(({ kinds: list, notes }) => {
    kinds = list;
    for (const [name, note] of Object.entries(notes)) Object.assign(inputs[name], { placeholder: note.example, title: note.help });
    put(kindButtons, choice("kind", "Kind", Object.fromEntries(list.map((k) => [k.name, [h("b", {}, k.words || k.name), h("small", {}, `${k.stops} stop, ${k.mired} mired`)]])), kind()));
    show();
  }, () => {});

  form.addEventListener("input", () => {
    wrong.textContent = "";
    show();
  });
  form.addEventListener("submit", async (e) => {
    e.preventDefault();
    const value = (name) => inputs[name].value.trim();
    const bad = [["width", "a width such as 4.8 or 15 ft 9 in", length], ["height", "a height such as 2.4 or 7'10\"", length], ["columns", "how many places across", number], ["rows", "how many places down", number]]
      .find(([name, , read]) => !(read(name) > 0));
    const area = shot();
    if (bad) return complain(`Found “${value(bad[0])}”, expected ${bad[1]}.`, inputs[bad[0]]);
    if (area && !area.every(Number.isFinite)) return complain("Give all four sides of the part in shot, or none.", inputs.x0);
    const wanted = {
      title: value("title"), name: value("name"), kind: kind(), width_m: length("width"), height_m: length("height"), feet: inFeet(), date: value("date"),
      columns: number("columns"), rows: number("rows"), edges: inputs.edges.checked, unit: form.elements.unit.value, color: inputs.color.checked,
      tolerance: value("tolerance"), repeatability_percent: number("repeatability_percent") || 0, area, reference: value("reference"),
      iso: number("iso") || 0, shutter: value("shutter"), lamps: linesOf(inputs.lamps.value),
      order: inputs.order.checked ? "nine" : "snake",
    };
    try {
      await begun("/api/surveys", wanted);
      write("evenfall.new", JSON.stringify({ kind: wanted.kind, length: inFeet() ? "ft" : "m", width: value("width"), height: value("height"), columns: value("columns"), rows: value("rows"), unit: wanted.unit, color: wanted.color, lamps: inputs.lamps.value }));
    } catch (error) {
      complain(textOf(error), error.status === 409 ? inputs.title : null);
    }
  });

  function complain(text, at) {
    wrong.textContent = text;
    (at ?? wrong).scrollIntoView({ block: "nearest" });
    at?.focus();
  }

  if (about.area) setShot(about.area.map(told));
  show();
  return {
    node: form,
    show() {
      header({ title: "New survey", back: "#/" });
      inputs.title.focus({ preventScroll: true });
    },
    leave() {},
  };
}

// firstPlace is where the walk begins: at the upper left, but that rows out of reach from the
// floor come last.
function firstPlace(columns, rows, height, edges) {
  const fromTop = (r) => (edges && rows > 1 ? r / (rows - 1) : (r + 0.5) / rows);
  const quick = [...new Set(rows < 3 ? [...Array(rows).keys()] : [0, Math.floor((rows - 1) / 2), rows - 1])];
  const at = Math.max(0, quick.findIndex((r) => !(height * (1 - fromTop(r)) > REACH)));
  const letters = (n) => (n < 26 ? "" : String.fromCharCode(64 + Math.floor(n / 26))) + String.fromCharCode(65 + (n % 26));
  return `${letters(quick[at])}${at % 2 ? columns : 1}`;
}
