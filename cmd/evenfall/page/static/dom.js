// Small helpers for the document. Nothing here sets markup from text, so what
// people type is never read as HTML.

/** h makes an element: attributes, on… listeners, children. */
export function h(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** s makes an element of SVG. */
export function s(tag, attributes = {}, ...children) {
  return fill(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);
}

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) node.setAttribute(name, value);
  }
  node.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return node;
}

export const byId = (id) => document.getElementById(id);

/** setText changes a text only where it differs, so that live regions stay quiet. */
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** setAttributes changes attributes only where they differ; null takes one away. */
export function setAttributes(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === false) node.removeAttribute(name);
    else if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value);
  }
}

/** say tells a screen reader what the eye sees elsewhere on the page. */
export function say(text) {
  byId("said").textContent = text;
}

/** alarm tells at once what must not be missed. */
export function alarm(text) {
  setText(byId("alarm"), text);
}

/** keepFocus lets a press act without taking the focus from the reading's field. */
export function keepFocus(node) {
  node.addEventListener("mousedown", (e) => e.preventDefault());
  return node;
}

/** clockTime is a moment as people write it, 10:42. */
export function clockTime(ms) {
  return new Date(ms).toTimeString().slice(0, 5);
}

/** plural counts: "1 reading", "3 readings". */
export function plural(n, one, many = one + "s") {
  return `${n} ${n === 1 ? one : many}`;
}
