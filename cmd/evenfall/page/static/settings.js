// What a person has chosen for this device.

import { read, write } from "./store.js";

const choices = { theme: ["dark", "light", "night"], hand: ["right", "left"], big: ["no", "yes"] };

/** setting is what was chosen, the first choice otherwise. */
export function setting(name) {
  const kept = read("evenfall." + name);
  return choices[name].includes(kept) ? kept : choices[name][0];
}

/** choose keeps a choice and shows it. The page obeys even where it cannot keep. */
export function choose(name, value) {
  write("evenfall." + name, value);
  document.documentElement.dataset[name] = value;
  document.dispatchEvent(new CustomEvent("setting", { detail: name }));
}

export const other = (name) => choices[name].find((c) => c !== document.documentElement.dataset[name]);

for (const name of Object.keys(choices)) document.documentElement.dataset[name] = setting(name);
