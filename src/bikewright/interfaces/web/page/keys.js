// The key to the server: in the address that opened the page, behind a #, taken out of it at once and remembered here.

import { recalled, refuse, remember } from "./store.js";

const GIVEN = /^#(token|key|join)=([\w-]+)(?:&|$)/;

let key = "";

/** @returns {string} */
export const token = () => key;

/** Headers that show the key. @returns {Record<string, string>} */
const shown = () => ({ "X-Bikewright-Token": key });

/** @returns {boolean} whether this window is on the machine that serves it */
export const isHere = () => ["127.0.0.1", "localhost"].includes(location.hostname);

const SILENT = "The server does not answer.";

/** What the server has at an address, the key shown. @param {string} address @param {RequestInit} [how] @returns {Promise<Response>} */
export const asked = (address, how = {}) => fetch(address, { ...how, headers: shown() }).catch(() => {
  throw new Error(SILENT);
});

/** @param {string} address @returns {Promise<Blob>} */
export async function fetched(address) {
  const answer = await asked(address);
  if (!answer.ok) throw new Error(await answer.text());
  return answer.blob();
}

/** A document with its status; one that is refused in a sentence has it as its error. @param {string} address @returns {Promise<{status: number, told: any}>} */
export async function read(address) {
  const answer = await asked(address);
  const text = await answer.text();
  const isJson = (answer.headers.get("content-type") || "").includes("json");
  return { status: answer.status, told: isJson ? JSON.parse(text) : { error: text.trim() } };
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
  if (isHere()) return;
  event.preventDefault();
  try {
    open(URL.createObjectURL(await fetched(event.currentTarget.href)));
  } catch (error) {
    refuse(error);
  }
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
  const clear = () => history.replaceState(null, "", location.pathname + "#/bike");
  if (found[1] !== "join") {
    clear();
    take(found[2]);
    return "";
  }
  try {
    const answer = await asked("/join", { method: "POST", body: JSON.stringify({ token: found[2] }) });
    clear();
    if (!answer.ok) return answer.text();
    take((await answer.json()).key);
    return "";
  } catch {
    // the invitation is still good, so it stays in the address
    return `${SILENT} Load this page again when it does.`;
  }
}
