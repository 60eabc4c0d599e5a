// The change: what follows from it, refusals first, and the field, the undo and the pin that make it.

import { settle } from "./hands.js";
import { make, order, show } from "./link.js";
import { set, state } from "./store.js";
import { html, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").Comparison} Comparison */

/** One consequence: before, after, change. @param {{row: import("./types.js").Consequence, faint: boolean}} props */
function Line({ row, faint }) {
  return html`<div class=${"line" + (faint ? " faint" : "")} data-key=${row.key} data-state=${row.state}>
    <span class="label">${row.label}</span>
    <span class="from">${row.before_text}</span><span class="arrow" aria-label="to">→</span><span class="to">${row.after_text}</span>
    <span class="by">${row.change_text}</span><span class="steps">${row.steps_text}</span>
  </div>`;
}

/** @param {{cause: import("./types.js").Cause}} props */
function Cause({ cause }) {
  return html`<section class="cause" data-address=${cause.address}>
    <h3><span>${cause.text}</span></h3>
    ${cause.headlines.map((headline) => html`<${Line} row=${headline.lead} faint=${!headline.felt} key=${headline.lead.key + headline.lead.state} />
      ${headline.echoes.length > 0 && html`<details class="echoes"><summary>with it: ${headline.echoes.length}</summary>
        <ul>${headline.echoes.map((echo) => html`<li>${echo}</li>`)}</ul></details>`}`)}
    ${cause.pulls.length > 0 && html`<p class="pulls">by itself, against the rest: ${cause.pulls.join(", ")}</p>`}
  </section>`;
}

/** Everything that follows from a comparison, in the order of what must be read first. @param {{comparison: Comparison, heading: string}} props */
export function Consequences({ comparison, heading }) {
  const c = comparison;
  const nothing = !c.refusals.length && !c.verdicts.length && !c.causes.length && !c.lost.length;
  return html`<div class="consequences" role="region" aria-label=${heading}>
    ${c.refusals.length > 0 && html`<section class="refusals"><h2>Refused</h2>
      <ul>${c.refusals.map((r) => html`<li><b>${r.place}</b> ${r.text}</li>`)}</ul></section>`}
    ${c.verdicts.length > 0 && html`<section class="verdicts"><h2>The brief</h2>
      ${c.verdicts.map((v) => html`<div class="verdict" data-key=${v.key}>
        <span class="label">${v.label}</span> <span class="band">${v.band}</span>
        <span class="turn"><s>${v.was}</s> → <b>${v.is}</b></span><span class="to">${v.after_text}</span></div>`)}</section>`}
    ${c.causes.length > 0 && html`<section><h2>What follows</h2>
      ${c.causes.map((cause) => html`<${Cause} cause=${cause} key=${cause.address} />`)}</section>`}
    ${c.lost.length > 0 && html`<section class="lost"><h2>Not known any more</h2>
      <ul>${c.lost.map((l) => html`<li>${l.label}: ${l.reason}</li>`)}</ul></section>`}
    ${nothing && html`<p class="none">Nothing differs between the two builds.</p>`}
  </div>`;
}

/** Slots of a kind of part: front and rear for wheels and tyres. @param {string} kind @returns {string[]} */
export const slotsOf = (kind) => (kind === "wheel" || kind === "tyre" ? [`front_${kind}`, `rear_${kind}`] : [kind]);

/** What may be typed into the field, each with what it means. @returns {[string, string][]} */
function suggestions() {
  const { draft, model, screen } = state;
  /** @type {[string, string][]} */
  const found = [];
  if (!draft) return found;
  for (const [kind, parts] of Object.entries(draft.stock)) {
    if (kind === "coil") continue;
    for (const slot of slotsOf(kind)) for (const part of parts) found.push([`${slot}=${part.name}`, part.describe]);
  }
  for (const rider of draft.riders) found.push([`rider=${rider}`, "rider"]);
  for (const pin of (screen && screen.pin_places) || []) found.push([`${pin.x_address}+=1`, `now ${pin.x}`], [`${pin.z_address}+=1`, `now ${pin.z}`]);
  if (model) for (const [name, value] of Object.entries(model.settings)) found.push([`${name}=${value}`, "setting"]);
  return found;
}

/** A change that can be made on this very bike, as an example. @returns {string} */
function example() {
  const { draft, model } = state;
  const now = model && model.parts.fork && model.parts.fork.name;
  const other = ((draft && draft.stock.fork) || []).find((fork) => fork.name !== now);
  return other ? `fork=${other.name}` : "stem_spacers_mm=20";
}

/** The field for any change in the grammar of addresses. */
function Field() {
  const [text, setText] = useState("");
  const [near, setNear] = useState(false);
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const told = text.split(";").map((t) => t.trim()).filter(Boolean);
    if (!told.length) return;
    settle();
    setText("");
    // what is refused comes back to be mended, unless something else is being typed already
    make(told).then((isTaken) => isTaken || setText((now) => now || text));
  };
  return html`<form class="field" onSubmit=${send}>
    <label for="change-field">change</label>
    <input id="change-field" list="addresses" autocomplete="off" autocapitalize="off" spellcheck="false" placeholder=${example()}
      value=${text} onInput=${(/** @type {any} */ e) => setText(e.target.value)} onFocus=${() => setNear(true)} onBlur=${() => setNear(false)} />
    <datalist id="addresses">${near && suggestions().map(([value, words]) => html`<option value=${value}>${words}</option>`)}</datalist>
    <button type="submit">make</button>
  </form>`;
}

/** Undo, redo, pin, keep, write. */
function Orders() {
  const [keeping, setKeeping] = useState(false);
  const [name, setName] = useState("");
  const [note, setNote] = useState("");
  const draft = state.draft || { position: 0, length: 0, can_undo: false, can_redo: false };
  const off = state.line !== "open";
  const act = (/** @type {string} */ verb, body = {}) => () => {
    settle();
    order(verb, body);
  };
  const keep = (/** @type {Event} */ event) => {
    event.preventDefault();
    settle();
    setKeeping(false);
    setName("");
    setNote("");
    order("keep", { name, note }).then((isTaken) => {
      if (isTaken) return;
      setKeeping(true);
      setName((now) => now || name);
      setNote((now) => now || note);
    });
  };
  return html`<div class="orders" role="group" aria-label="draft">
      <button type="button" disabled=${off || !draft.can_undo} onClick=${act("undo")} title="Ctrl Z">undo${draft.position ? ` ${draft.position}` : ""}</button>
      <button type="button" disabled=${off || !draft.can_redo} onClick=${act("redo")} title="Ctrl Shift Z">redo${draft.can_redo ? ` ${draft.length - draft.position}` : ""}</button>
      <button type="button" disabled=${off} onClick=${act("pin", { to: "current" })}>pin this</button>
      <button type="button" disabled=${off} aria-expanded=${keeping} onClick=${() => setKeeping(!keeping)}>keep</button>
      <button type="button" disabled=${off} onClick=${act("write")}>write to files</button>
    </div>
    ${keeping && html`<form class="keep" onSubmit=${keep}>
      <label>name <input required pattern="[A-Za-z0-9_\\-]+" title="letters, digits, - and _" value=${name} onInput=${(/** @type {any} */ e) => setName(e.target.value)} /></label>
      <label>note <input value=${note} onInput=${(/** @type {any} */ e) => setNote(e.target.value)} /></label>
      <button type="submit">keep this version</button>
    </form>`}`;
}

/** The whole column beside the drawing. */
export function Change() {
  const { screen, sizes, view } = state;
  const toggle = () => {
    set({ view: { ...view, sizes: !view.sizes }, sizes: null });
    show();
  };
  return html`<aside class="change" aria-label="the change">
    <${Orders} />
    <${Field} />
    <label class="tick"><input type="checkbox" checked=${view.sizes} onChange=${toggle} /> for all sizes</label>
    ${screen && screen.comparison && !view.sizes && html`<${Consequences} comparison=${screen.comparison} heading="what follows" />`}
    ${screen && view.sizes && !sizes && html`<p class="none">All sizes are on the way.</p>`}
    ${view.sizes && sizes && sizes.rows.map((c) => html`<section class="onesize" key=${c.size}><h2 class="size">Size ${c.size}</h2>
      <${Consequences} comparison=${c} heading=${`what follows in size ${c.size}`} /></section>`)}
  </aside>`;
}
