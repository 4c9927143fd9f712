// Keeps the screen on while readings are entered. Where the page is trusted (https, or this
// machine) the browser has a lock for that. Over plain http in a network it has none: there
// a muted video behind the page does it, where the browser takes it.

const listeners = new Set();
let lock = null;
let video = null;
let refused = false; // both ways

const on = () => Boolean(lock && !lock.released) || Boolean(video && !video.paused);

/** awake is whether the screen stays on, in words. */
export const awake = () => (on() ? "yes" : refused ? "set the display timer of this device" : "tap once");

/** watchAwake calls back at each change; it returns how to end that. */
export function watchAwake(does) {
  listeners.add(does);
  return () => listeners.delete(does);
}

const tell = () => listeners.forEach((does) => does());

async function wake() {
  if (document.hidden || on()) return;
  try {
    if (navigator.wakeLock) {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", tell);
    } else {
      video ??= silentVideo();
      await video.play();
    }
    refused = false;
  } catch {
    refused = true;
  }
  tell();
}

// silentVideo fills the screen behind the page, in the page's own color, once a second.
function silentVideo() {
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = 16;
  const brush = canvas.getContext("2d");
  const paint = () => {
    brush.fillStyle = getComputedStyle(document.documentElement).backgroundColor;
    brush.fillRect(0, 0, 16, 16);
  };
  paint();
  setInterval(() => !document.hidden && paint(), 1000);
  const made = document.createElement("video");
  Object.assign(made, { muted: true, playsInline: true, srcObject: canvas.captureStream(1) });
  for (const name of ["muted", "playsinline", "aria-hidden"]) made.setAttribute(name, name === "aria-hidden" ? "true" : "");
  made.tabIndex = -1;
  made.className = "awake";
  made.addEventListener("pause", tell);
  document.body.prepend(made);
  return made;
}

// A browser wants a tap first, and lets go of a page that is hidden.
addEventListener("pointerup", wake);
addEventListener("keydown", wake);
document.addEventListener("visibilitychange", wake);
