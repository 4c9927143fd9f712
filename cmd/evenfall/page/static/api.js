// Talks to the program that serves this page, and to nothing else.

/** Refusal is an answer that says no; status 0 is no answer at all. */
export class Refusal extends Error {
  constructor(status, code, text) {
    super(text);
    this.status = status;
    this.code = code;
  }
}

/** textOf is what an error says to people. */
export const textOf = (error) => (error instanceof Refusal ? error.message : String(error));

// reach tells since when the program has not answered (ms), null while it does, and
// what it says where it does not let this device in.
export const reach = Object.assign(new EventTarget(), { since: null, barred: "" });

/** reached notes whether the program answered just now. */
export function reached(yes, barred = "") {
  const since = yes ? null : (reach.since ?? Date.now());
  if (since === reach.since && barred === reach.barred) return;
  reach.since = since;
  reach.barred = barred;
  reach.dispatchEvent(new Event("change"));
}

export const get = (path) => call("GET", path);
export const post = (path, body = {}, options = {}) => call("POST", path, body, options);
export const deleteAt = (path) => call("DELETE", path);

const patience = 10_000; // ms

async function call(method, path, body, options) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), patience);
  const sent = Date.now();
  try {
    const response = await fetch(path, {
      ...options,
      method,
      signal: stop.signal,
      credentials: "same-origin",
      cache: "no-store",
      headers: body ? { "Content-Type": "application/json" } : {},
      body: body && JSON.stringify(body),
    });
    const answer = await response.json().catch(() => null);
    reached(true, response.status === 401 ? (answer?.error?.text ?? "this device is not let in") : "");
    if (!response.ok) {
      throw new Refusal(response.status, answer?.error?.code ?? "", answer?.error?.text ?? `the program answered ${response.status}`);
    }
    learn(answer?.now ?? answer?.state?.now, sent, Date.now());
    return answer;
  } catch (error) {
    if (error instanceof Refusal) throw error;
    reached(false);
    throw new Refusal(0, "no_answer", "The program does not answer.");
  } finally {
    clearTimeout(timer);
  }
}

// Readings of several devices are ordered by their times, so all of them go by
// the program's clock: the answer with the shortest way tells it best.
let ahead = 0;
let shortest = Infinity;

function learn(now, sent, received) {
  if (!now) return;
  const way = received - sent;
  const seen = now - (sent + received) / 2;
  // A clock that was set meanwhile shows as a jump that no delay explains.
  if (way <= shortest || Math.abs(seen - ahead) > way + shortest) {
    ahead = seen;
    shortest = way;
  }
}

/** serverTime is the program's clock in ms since 1970. */
export const serverTime = () => Math.round(Date.now() + ahead);

/** path of something of a survey. */
export const surveyPath = (name, rest = "") => `/api/surveys/${encodeURIComponent(name)}${rest}`;
