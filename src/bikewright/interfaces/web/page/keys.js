// The key to the server: in the address that opened the page, behind a #, taken out of it at once and remembered here.

import { recalled, remember } from "./store.js";

const GIVEN = /^#(token|key|join)=([\w-]+)(?:&|$)/;

let key = "";

/** @returns {string} */
export const token = () => key;

/** Headers that show the key. @returns {Record<string, string>} */
export const shown = () => ({ "X-Bikewright-Token": key });

/** @param {string} found */
function take(found) {
  key = found;
  remember("key", found);
}

/** Take the key from the address, or exchange an invitation for one. @returns {Promise<string>} what went wrong, or nothing */
export async function arrive() {
  key = recalled("key", "");
  const found = GIVEN.exec(location.hash);
  if (!found) return "";
  history.replaceState(null, "", location.pathname + "#/bike");
  if (found[1] !== "join") {
    take(found[2]);
    return "";
  }
  const answer = await fetch("/join", { method: "POST", body: JSON.stringify({ token: found[2] }) });
  if (!answer.ok) return answer.text();
  take((await answer.json()).key);
  return "";
}
