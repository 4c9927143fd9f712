// A drawing of the surface with its places, on which the part in shot is drawn
// with a finger. The numbers next to it do the same for a keyboard.

import { s } from "./dom.js";

const wide = 320; // units across the drawing

/** drawing makes it; drawn is called with [x0, y0, x1, y1] in meters, from the lower left. */
export function drawing(drawn) {
  const node = s("svg", { class: "surface", role: "img" });
  let size = { width: 1, height: 1 };
  let from = null;

  function show({ width, height, columns, rows, edges, area, reference }) {
    if (!(width > 0 && height > 0)) return;
    size = { width, height };
    const tall = Math.min(wide, Math.max(40, (wide * height) / width));
    const x = (m) => (wide * m) / width;
    const y = (m) => tall - (tall * m) / height;
    node.setAttribute("viewBox", `-8 -22 ${wide + 16} ${tall + 44}`);
    node.setAttribute("aria-label", `The surface, ${width} × ${height} m, ${columns} × ${rows} places, camera left on the left` + (area ? `, in shot from ${area[0]}, ${area[1]} to ${area[2]}, ${area[3]} m` : ", all of it in shot"));
    const parts = [
      s("text", { x: 0, y: -8 }, "← camera left"),
      s("text", { x: wide, y: -8, "text-anchor": "end" }, "camera right →"),
      s("text", { x: wide / 2, y: tall + 15, "text-anchor": "middle" }, `${width} × ${height} m`),
      s("rect", { class: "cloth", width: wide, height: tall, rx: 3 }),
    ];
    const at = (i, n) => (edges && n > 1 ? i / (n - 1) : (i + 0.5) / n);
    const many = columns * rows > 600; // a cloud of dots tells nothing
    for (let r = 0; r < rows && !many; r++) {
      for (let c = 0; c < columns; c++) {
        const middle = c === reference.column && r === reference.row;
        parts.push(s(middle ? "rect" : "circle", middle
          ? { class: "reference", x: wide * at(c, columns) - 4, y: tall * at(r, rows) - 4, width: 8, height: 8 }
          : { class: "dot", cx: wide * at(c, columns), cy: tall * at(r, rows), r: 2.5 }));
      }
    }
    if (area) parts.push(s("rect", { class: "shot", x: x(area[0]), y: y(area[3]), width: Math.max(0, x(area[2]) - x(area[0])), height: Math.max(0, y(area[1]) - y(area[3])) }));
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
    from = where(e);
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
