// The key to the server: in the address that opened the page, behind a #, taken out of it at once and remembered here.

import { recalled, remember } from "./store.js";

const GIVEN = /^#(token|key|join)=([\w-]+)(?:&|$)/;

let key = "";

/** @returns {string} */
export const token = () => key;

/** Headers that show the key. @returns {Record<string, string>} */
export const shown = () => ({ "X-Bikewright-Token": key });

/** @param {string} address @returns {Promise<Blob>} what the server has there, the key shown */
export async function fetched(address) {
  const answer = await fetch(address, { headers: shown() });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.blob();
}

/** Save what the server has at an address as a file. @param {string} address @param {string} name */
export async function handOver(address, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await fetched(address));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

/** Another machine shows its key by itself only in what the page fetches. @param {any} event */
export async function openTwin(event) {
  if (["127.0.0.1", "localhost"].includes(location.hostname)) return;
  event.preventDefault();
  open(URL.createObjectURL(await fetched(event.currentTarget.href)));
}

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
