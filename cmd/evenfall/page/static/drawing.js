// A drawing of the surface with its places, on which the corners of the part in shot are
// dragged. The numbers next to it do the same for a keyboard.

import { s } from "./dom.js";
import { FOOT } from "./units.js";

const DRAWING_WIDE = 320; // units across the drawing

/** drawing makes it; drawn is called with [x0, y0, x1, y1] in meters, from the lower left. */
export function drawing(drawn) {
  const node = s("svg", { class: "surface", role: "img" });
  let size = { width: 1, height: 1 };
  let from = null; // the corner that stays while the other one is dragged
  let shown = [0, 0, 1, 1];

  function show({ width, height, feet, columns, rows, edges, area, reference }) {
    if (!(width > 0 && height > 0)) return;
    size = { width, height };
    shown = area ?? [0, 0, width, height];
    const told = [width, height].map((m) => Math.round((m / (feet ? FOOT : 1)) * 100) / 100).join(" × ") + (feet ? " ft" : " m");
    const tall = Math.min(DRAWING_WIDE, Math.max(40, (DRAWING_WIDE * height) / width));
    const x = (m) => (DRAWING_WIDE * m) / width;
    const y = (m) => tall - (tall * m) / height;
    node.setAttribute("viewBox", `-8 -22 ${DRAWING_WIDE + 16} ${tall + 44}`);
    node.setAttribute("aria-label", `The surface, ${told}, ${columns} × ${rows} places, camera left on the left` + (area ? `, in shot from ${area[0]}, ${area[1]} to ${area[2]}, ${area[3]} m` : ", all of it in shot"));
    const parts = [
      s("text", { x: 0, y: -8 }, "← camera left"),
      s("text", { x: DRAWING_WIDE, y: -8, "text-anchor": "end" }, "camera right →"),
      s("text", { x: DRAWING_WIDE / 2, y: tall + 15, "text-anchor": "middle" }, told),
      s("rect", { class: "cloth", width: DRAWING_WIDE, height: tall, rx: 3 }),
    ];
    const at = (i, n) => (edges && n > 1 ? i / (n - 1) : (i + 0.5) / n);
    const many = columns * rows > 600; // a cloud of dots tells nothing
    for (let r = 0; r < rows && !many; r++) {
      for (let c = 0; c < columns; c++) {
        const middle = c === reference.column && r === reference.row;
        parts.push(s(middle ? "rect" : "circle", middle
          ? { class: "reference", x: DRAWING_WIDE * at(c, columns) - 4, y: tall * at(r, rows) - 4, width: 8, height: 8 }
          : { class: "dot", cx: DRAWING_WIDE * at(c, columns), cy: tall * at(r, rows), r: 2.5 }));
      }
    }
    parts.push(s("rect", { class: area ? "shot" : "shot all", x: x(shown[0]), y: y(shown[3]), width: Math.max(0, x(shown[2]) - x(shown[0])), height: Math.max(0, y(shown[1]) - y(shown[3])) }));
    for (const cx of [shown[0], shown[2]]) for (const cy of [shown[1], shown[3]]) parts.push(s("circle", { class: "corner", cx: x(cx), cy: y(cy), r: 8 }));
    node.replaceChildren(...parts);
  }

  // Where a pointer is on the surface, in meters to the centimeter.
  function where(e) {
    const cloth = node.querySelector(".cloth").getBoundingClientRect();
    const part = (v, a, b) => Math.min(1, Math.max(0, (v - a) / (b - a)));
    const cm = (m) => Math.round(m * 100) / 100;
    return { x: cm(size.width * part(e.clientX, cloth.left, cloth.right)), y: cm(size.height * (1 - part(e.clientY, cloth.top, cloth.bottom))) };
  }

  node.addEventListener("pointerdown", (e) => {
    // A corner that is near is dragged; elsewhere a new part is drawn.
    const at = where(e);
    const cloth = node.querySelector(".cloth").getBoundingClientRect();
    const near = (i, v, px, m) => (Math.abs(v - shown[i]) / m) * px < 32;
    const i = [0, 2].find((i) => near(i, at.x, cloth.width, size.width));
    const j = [1, 3].find((j) => near(j, at.y, cloth.height, size.height));
    from = i === undefined || j === undefined ? at : { x: shown[2 - i], y: shown[4 - j] };
    node.setPointerCapture(e.pointerId);
  });
  node.addEventListener("pointermove", (e) => {
    if (!from) return;
    const to = where(e);
    const area = [Math.min(from.x, to.x), Math.min(from.y, to.y), Math.max(from.x, to.x), Math.max(from.y, to.y)];
    // A tap that moved a little is not a part in shot.
    if (area[2] - area[0] > size.width / 50 && area[3] - area[1] > size.height / 50) drawn(area);
  });
  for (const end of ["pointerup", "pointercancel"]) node.addEventListener(end, () => (from = null));
  return { node, show };
}
