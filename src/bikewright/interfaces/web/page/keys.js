// The key to the server: in the address that opened the page, behind a #, taken out of it at once and remembered here.

const NAME = "bikewright.key";
const GIVEN = /^#(token|key|join)=([\w-]+)(?:&|$)/;

let key = "";

/** @returns {string} */
export const token = () => key;

/** Headers that show the key. @returns {Record<string, string>} */
export const shown = () => ({ "X-Bikewright-Token": key });

/** @param {string} found */
function remember(found) {
  key = found;
  try {
    localStorage.setItem(NAME, found);
  } catch {
    // no storage: the key lives as long as the page
  }
}

/** Take the key from the address, or exchange an invitation for one. @returns {Promise<string>} what went wrong, or nothing */
export async function arrive() {
  try {
    key = localStorage.getItem(NAME) || "";
  } catch {
    key = "";
  }
  const found = GIVEN.exec(location.hash);
  if (!found) return "";
  history.replaceState(null, "", location.pathname + "#/bike");
  if (found[1] !== "join") {
    remember(found[2]);
    return "";
  }
  const answer = await fetch("/join", { method: "POST", body: JSON.stringify({ token: found[2] }) });
  if (!answer.ok) return answer.text();
  remember((await answer.json()).key);
  return "";
}
