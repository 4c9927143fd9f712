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
  put(node, children);
  return node;
}

/** put gives a node other children; what is missing or false is left out. */
export function put(node, ...children) {
  node.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
}

/** changed tells whether a node is to show another value than before, so that
 * nothing is made anew that says the same: a button must not go from under a thumb. */
export function changed(node, value) {
  const key = JSON.stringify(value ?? null);
  if (node.dataset.key === key) return false;
  node.dataset.key = key;
  return true;
}

/** table makes a table of texts, whose first column names the rows. */
export function table({ title, head, rows }) {
  return h("table", {}, title && h("caption", {}, title),
    h("thead", {}, h("tr", {}, head.map((t) => (t ? h("th", { scope: "col" }, t) : h("td", {}))))),
    h("tbody", {}, rows.map((row) => h("tr", {}, row.map((t, i) => (i === 0 ? h("th", { scope: "row" }, t) : h("td", {}, t)))))));
}

/** scroller contains what may be wider than the page. */
export function scroller(label, ...children) {
  return h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": label }, children);
}

/** choice is a row of values of which one is chosen. */
export function choice(name, caption, values, chosen, onchange = () => {}) {
  return h("fieldset", { class: "choice" }, h("legend", {}, caption),
    Object.entries(values).map(([value, text]) =>
      h("label", {}, h("input", { type: "radio", name, value, checked: value === chosen, onchange: () => onchange(value) }), h("span", {}, text))));
}

/** openSheet shows a dialog over the page and returns it. */
export function openSheet(id, title, ...children) {
  const dialog = h("dialog", { class: "sheet", "aria-labelledby": id, onclose: () => dialog.remove() },
    h("div", { class: "sheet-head" }, h("h2", { id }, title), h("button", { type: "button", onclick: () => dialog.close() }, "Close")), children);
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
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

/** clockTime is a moment as people write it, 10:42, or with seconds. */
export function clockTime(ms, seconds = false) {
  return new Date(ms).toTimeString().slice(0, seconds ? 8 : 5);
}

/** plural counts: "1 reading", "3 readings". */
export function plural(n, one, many = one + "s") {
  return `${n} ${n === 1 ? one : many}`;
}
