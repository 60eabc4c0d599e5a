// The firm's own list of buyers: chosen from the bike's folder, or handed over as a CSV file that the server holds in
// memory; it is stored only by a press.

import { Typed } from "./fields.js";
import { asked } from "./keys.js";
import { Choice, ask, useDocument } from "./rooms.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useState } from "./vendor/preact-htm.js";

/** @typedef {{list: string, name: string}} Named */
/** @typedef {import("./types.js").ShownBuyers} ShownBuyers */

const HELD = /^held-[0-9a-f]+$/;

/** @param {string} path @param {BodyInit | undefined} body @returns {Promise<{list: string}>} */
async function posted(path, body) {
  const answer = await asked(path, { method: "POST", body });
  if (!answer.ok) throw new Error((await answer.text()).trim());
  return answer.json();
}

/** Lists that may be chosen, anew whenever one came. @param {number} turn @returns {{lists: Named[], largest: number}} */
export function useLists(turn) {
  /** @type {[{lists: Named[], largest: number} | null, string]} */
  const [found] = useDocument(`/shown/lists.json?turn=${turn}`);
  return found || { lists: [], largest: 0 };
}

/** Choosing, handing over, storing. @param {{said: string, lists: Named[], largest: number, came: () => void}} props */
export function ListField({ said, lists, largest, came }) {
  const [trouble, setTrouble] = useState("");
  const [over, setOver] = useState(false);
  const [name, setName] = useState("");
  const { list } = state.ride;
  const held = HELD.test(list) ? lists.find((one) => one.list === list) : undefined;
  const take = async (/** @type {File | undefined} */ file) => {
    if (!file) return;
    if (largest && file.size > largest) {
      setTrouble(`${file.name} has ${file.size} bytes; ${largest} are taken here. Put it into the bike's folder and choose it by its name, or ask the command coverage.`);
      return;
    }
    try {
      const { list: key } = await posted(`/list?${new URLSearchParams({ name: file.name })}`, file);
      setTrouble("");
      setName(file.name);
      came();
      ask({ list: key });
    } catch (error) {
      setTrouble(String(/** @type {Error} */ (error).message));
    }
  };
  const drop = (/** @type {any} */ event) => {
    event.preventDefault();
    setOver(false);
    take(event.dataTransfer.files[0]);
  };
  const drag = (/** @type {boolean} */ on) => (/** @type {any} */ event) => {
    event.preventDefault();
    setOver(on);
  };
  const keep = async () => {
    try {
      const { list: stored } = await posted(`/list/keep?${new URLSearchParams({ list, name: name || (held ? held.name : "") })}`, undefined);
      setTrouble("");
      came();
      ask({ list: stored });
    } catch (error) {
      setTrouble(String(/** @type {Error} */ (error).message));
    }
  };
  const known = lists.some((one) => one.list === list);
  return html`<div class=${`list${over ? " over" : ""}`} role="group" aria-label="the firm's own list" onDragOver=${drag(true)} onDragLeave=${drag(false)} onDrop=${drop}>
    <${Choice} name="list" label="the firm's own list" now=${list} tell=${(/** @type {string} */ value) => ask({ list: value })}
      choices=${[["", "none"], ...lists.map((one) => [one.list, HELD.test(one.list) ? `${one.name}, held` : one.name]), ...(list && !known ? [[list, list]] : [])]} />
    <label class="file"><span>choose a CSV file</span><input type="file" name="list-file" accept=".csv,text/csv" onChange=${(/** @type {any} */ e) => {
      take(e.target.files[0]);
      e.target.value = "";
    }} /></label> <span class="none">or drop one here: height, size bought, returned</span>
    ${(trouble || said) && html`<strong class="said" role="status">${trouble || said}</strong>`}
    ${held && !said && html`<p class="none">${held.name} is held in memory until the server ends; it is stored nowhere. <label>put it into the bike's folder as <${Typed} name="list-name" size=${16} hint=${held.name} now=${name} tell=${setName} /></label> <button type="button" name="keep-list" onClick=${keep}>store</button></p>`}</div>`;
}

/** What a list says beside the sizes. @param {{buyers: ShownBuyers, who: string}} props */
export const Buyers = ({ buyers, who }) => html`<section class="buyers" aria-label="the firm's own list beside the sizes"><h2>${buyers.heading}</h2>
    <p class="none">${buyers.marks[who].note}</p>
    <${Table} name="the list beside the sizes" hide=${true} figures=${[1, 2]} head=${buyers.heads} rows=${buyers.rows} />
    <ul class="notes">${buyers.notes.map((note) => html`<li class="none">${note}</li>`)}</ul>
    ${buyers.others.length > 0 && html`<details><summary>Bought a size that does not fit</summary>
      <${Table} name="who bought a size that does not fit" hide=${true} figures=${[0, 1, 2]} head=${buyers.other_heads} rows=${buyers.others} /><p class="none">${buyers.others_more}</p></details>`}
    ${buyers.unfitted.length > 0 && html`<details><summary>${buyers.unfitted_heading}</summary><ul class="reasons">${buyers.unfitted.map((one) => html`<li>${one}</li>`)}</ul></details>`}</section>`;
