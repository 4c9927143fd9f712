// What people begin on the page: by one request, whose answer leads there.

import { post } from "./api.js";

let underWay = null;

/** begun begins something at a path and goes there. A second tap meanwhile begins no second. */
export const begun = (path, body) => (underWay ??= beginOf(path, body).finally(() => { underWay = null; }));

async function beginOf(path, body) {
  const { name } = await post(path, body);
  location.hash = `#/s/${encodeURIComponent(name)}`;
}
