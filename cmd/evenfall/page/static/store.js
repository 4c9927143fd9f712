// What this browser keeps. Storage can be blocked or full, so that every use
// may fail and says so.

/** read gives a kept text, null where there is none or storage is blocked. */
export function read(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

/** write keeps a text and tells whether that worked. */
export function write(key, text) {
  try {
    localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

export function remove(key) {
  try {
    localStorage.removeItem(key);
  } catch {
    // Nothing is kept, nothing to remove.
  }
}

/** keys lists what is kept under a prefix. */
export function keys(prefix) {
  try {
    return Object.keys(localStorage).filter((k) => k.startsWith(prefix));
  } catch {
    return [];
  }
}

/** readJSON returns a stored value, or the default. */
export function readJSON(key, otherwise) {
  try {
    return JSON.parse(read(key)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

/** randomName is a name that no other tab has. A plain-http page on a local
 * network is no secure context and has no crypto.randomUUID. */
export function randomName() {
  return Array.from(crypto.getRandomValues(new Uint8Array(9)), (b) => b.toString(36).padStart(2, "0")).join("");
}
