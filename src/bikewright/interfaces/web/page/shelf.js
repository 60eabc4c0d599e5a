// The shelf: whatever the bike's files hold is copied under a new name, changed there, or taken out again.

import { Values, against } from "./fields.js";
import { settle } from "./hands.js";
import { make } from "./link.js";
import { useDocument } from "./rooms.js";
import { state } from "./store.js";
import { html, useEffect, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").Table} Table */
/** @typedef {{shelves: Record<string, Table[]>, riders: Table[]}} Stock */
/** @typedef {{heading: string, things: [string, string][]}} Group addresses with what they are called */

/** Everything that can be copied or taken out. @returns {Group[]} */
function groups() {
  const { draft, model, screen, view } = state;
  if (!draft || !model) return [];
  /** @type {Group[]} */
  const found = Object.entries(draft.stock).map(([kind, parts]) => ({
    heading: kind.replace(/_/g, " "),
    things: parts.map((part) => [`parts.${kind}.${part.name}`, part.describe ? `${part.name}: ${part.describe}` : part.name]),
  }));
  found.push({ heading: "riders", things: draft.riders.map((name) => [`riders.${name}`, name]) });
  found.push({ heading: "builds", things: draft.builds.map((name) => [`builds.${name}`, name]) });
  found.push({ heading: `loads on ${view.build}`, things: Object.keys(model.loads || {}).map((name) => [`loads.${name}`, name]) });
  found.push({ heading: "pins", things: ((screen && screen.pin_places) || []).map((pin) => [`linkage.pins.${pin.name}`, pin.name]) });
  return found.filter((group) => group.things.length);
}

/** The thing at an address, as far as its values can be typed. @param {string} address @param {Stock | null} stock @returns {Table | null} */
function thingAt(address, stock) {
  const [root, kind, name] = address.split(".");
  if (root === "parts" && stock) return (stock.shelves[kind] || []).find((part) => part.name === name) || null;
  if (root === "riders" && stock) return stock.riders.find((rider) => rider.name === kind) || null;
  if (root === "loads" && state.model) return state.model.loads[kind] || null;
  return null;
}

/** What can be copied, changed and taken out. */
export function Shelf() {
  const all = groups();
  const addresses = all.flatMap((group) => group.things.map(([address]) => address));
  const [chosen, setChosen] = useState("");
  const [name, setName] = useState("");
  const [coming, setComing] = useState("");
  const [stock] = useDocument(/** @type {string} */ ("/parts.json"));
  const now = addresses.includes(chosen) ? chosen : "";
  useEffect(() => {
    if (!coming || !addresses.includes(coming)) return;
    setChosen(coming);
    setComing("");
    setName("");
  }, [coming, addresses.join()]);
  const thing = thingAt(now, /** @type {Stock | null} */ (stock));
  const said = against(`remove ${now}`) || (state.trouble && state.trouble.deed && state.trouble.changes.some((c) => c.startsWith(`copy ${now} to `)) ? state.trouble.text : "");
  const copies = now !== "" && !now.startsWith("linkage.");
  const copy = (/** @type {Event} */ event) => {
    event.preventDefault();
    const wanted = name.trim();
    if (!copies || !wanted) return;
    settle();
    setComing(now.replace(/[^.]*$/, wanted));
    make([`copy ${now} to ${wanted}`]).then((isTaken) => isTaken || setComing(""));
  };
  const remove = () => {
    settle();
    make([`remove ${now}`]);
  };
  return html`<section class="shelf"><h2>On the shelf</h2>
    <p class="none">A copy under a new name is a part, a rider, a build or a load of its own. What something still needs is not taken out. Each is a step that undo takes back.</p>
    <form class="orders" onSubmit=${copy}>
      <label>thing <select name="thing" value=${now} onChange=${(/** @type {any} */ e) => setChosen(e.target.value)}>
        <option value="">choose one</option>
        ${all.map((group) => html`<optgroup label=${group.heading}>${group.things.map(([address, words]) => html`<option value=${address}>${words}</option>`)}</optgroup>`)}
      </select></label>
      <label>copy as <input name="copy-name" size="14" autocapitalize="off" spellcheck="false" value=${name} disabled=${!copies} onInput=${(/** @type {any} */ e) => setName(e.target.value)} /></label>
      <button type="submit" disabled=${!copies || !name.trim()}>copy</button>
      <button type="button" disabled=${now === "" || now === "builds.datum"} onClick=${remove}>take out</button>
    </form>
    ${said && html`<strong class="said" role="status">${said}</strong>`}
    ${thing && html`<div class="choice"><${Values} key=${now} thing=${thing} address=${now} label=${now.split(".").slice(-1)[0]} /></div>`}
  </section>`;
}
