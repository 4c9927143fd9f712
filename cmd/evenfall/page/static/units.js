// Lengths as people type them, and the day.

export const FOOT = 0.3048; // m

const per = { m: 1, cm: 0.01, mm: 0.001, ft: FOOT, in: FOOT / 12 };
const words = { "'": "ft", "′": "ft", feet: "ft", foot: "ft", '"': "in", "″": "in", inch: "in", inches: "in" };

/** meters reads 4.8, 4,8 m, 15'9", 15 ft 9 in: bare numbers are in unit, and those behind
 * feet in inches. NaN is no length. */
export function meters(text, unit = "m") {
  let sum = 0;
  let last = "";
  const rest = text.trim().toLowerCase().replace(/''/g, '"').replace(/(\d+(?:[.,]\d+)?)\s*(feet|foot|inches|inch|ft|in|cm|mm|m|['"′″])?\s*/g, (_, number, named) => {
    const is = words[named] ?? named ?? (last === "ft" ? "in" : last ? "none" : unit);
    sum += Number(number.replace(",", ".")) * (per[is] ?? NaN);
    last = is;
    return "";
  });
  return last && rest === "" ? sum : NaN;
}

/** today is the day on this device's wall, 2026-03-04. */
export function today() {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
}
