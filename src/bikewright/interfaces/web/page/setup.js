// The set-up of a rider on the chosen build, in the order in which things are set; another rider beside; the coil
// question; the card and the base tune table.

import { Change, Consequences } from "./change.js";
import { Typed } from "./fields.js";
import { settle } from "./hands.js";
import { handOver, isHere } from "./keys.js";
import { make } from "./link.js";
import { Plotted } from "./plotted.js";
import { Choice, NOT_ASKED, Progress, Sentences, ask, looking, ownRider, riding, useDocument, useLong } from "./rooms.js";
import { refuse, state } from "./store.js";
import { Table } from "./table.js";
import { html } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownSetup} ShownSetup */
/** @typedef {import("./types.js").ShownCoil} ShownCoil */
/** @typedef {import("./types.js").ShownTunes} ShownTunes */
/** @typedef {import("./types.js").Cell} Cell */

/** Whether what is refused is one of the sags typed, and so is said at its field. @param {string} trouble @returns {boolean} */
const isSag = (trouble) => /^sag_(front|rear)_pct:/.test(trouble);

/** Who rides, what is wanted, what it is told against. @param {{sags: Record<string, number>, bases: {tunes: string[], builds: string[]} | null, trouble: string}} props */
function Asked({ sags, bases, trouble }) {
  const { draft, ride } = state;
  const riders = /** @type {[string, string][]} */ (((draft && draft.riders) || []).map((name) => [name, name]));
  const sag = (/** @type {"sag_front" | "sag_rear"} */ key, /** @type {string} */ words, /** @type {number | undefined} */ own) => html`<label>${words} <${Typed} name=${key} size=${4} numbers=${true}
    hint=${own === undefined ? "" : String(own)} now=${ride[key]} unit="%" said=${trouble.startsWith(`${key}_pct:`) ? trouble : ""} tell=${(/** @type {string} */ pct) => ask({ [key]: pct })} /></label>`;
  const known = bases || { tunes: [], builds: [] };
  return html`<form class="orders" aria-label="who and what is wanted" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
    <${Choice} name="rider" label="rider" now=${ride.rider} choices=${[["", ownRider()], ...riders]} tell=${(/** @type {string} */ rider) => ask({ rider })} />
    <${Choice} name="against" label="beside" now=${ride.against} choices=${[["", "nobody"], ...riders]} tell=${(/** @type {string} */ against) => ask({ against })} />
    ${sag("sag_front", "sag front", sags.front)}${sag("sag_rear", "sag rear", sags.rear)}
    <${Choice} name="base" label="told against" now=${ride.base} choices=${[["", "nothing"], ...known.tunes.map((n) => [n, `tune ${n}`]), ...known.builds.map((n) => [n, `build ${n}`])]} tell=${(/** @type {string} */ base) => ask({ base })} /></form>`;
}

/** Everything that is set, in its order, as one table. @param {{steps: ShownSetup["steps"]}} props */
function Ordered({ steps }) {
  const rows = steps.flatMap((step, n) => {
    const title = `${n + 1} ${step.title}`;
    const head = (/** @type {boolean} */ first) => ({ text: title, node: first ? html`<b>${title}</b>` : html`<span class="hidden">${title}</span>` });
    /** @type {Cell[][]} */
    const lines = step.lines.map(([what, value, beside], i) => [head(i === 0), what, { text: value, class: "set" }, { text: beside, class: "by-the-side" }]);
    return [...lines, ...step.told.map((told, i) => [head(!lines.length && i === 0), { text: told, class: "waits", span: 3 }])];
  });
  return html`<div class="ordered"><${Table} name="what is set, in its order" hide=${true} head=${["step", "what", "set to", "range, limit, reason"]} rows=${rows} /></div>`;
}

/** What takes the set-up into the draft. @param {{changes: string[]}} props */
function Take({ changes }) {
  const take = () => {
    settle();
    make(changes);
  };
  return html`<p class="orders"><button type="button" name="take-setup" disabled=${!changes.length} onClick=${take}>take into the draft</button>
    <span class="none typed">${changes.length ? changes.join("; ") : "The draft is set up so already."}</span></p>`;
}

/** Two riders on one bike. @param {{found: ShownSetup}} props */
function Beside({ found }) {
  const { beside, comparison } = found;
  if (!beside) return null;
  const rows = beside.rows.map(({ cells, differs }) => cells.map((text, i) => ({ text, class: differs && i === 2 ? "moved" : "" })));
  return html`<section class="part" aria-label="two riders"><h1>Two riders</h1>
    <${Table} name="two riders beside each other" hide=${true} head=${["what is set", ...beside.heads.slice(1)]} rows=${rows} />
    ${comparison && html`<details><summary>what follows on the bike</summary><${Consequences} comparison=${comparison} heading="what follows from one rider to the other" /></details>`}</section>`;
}

/** May this frame take a coil? */
function Coil() {
  /** @type {[ShownCoil | null, string]} */
  const [found, trouble] = useDocument(`/shown/coil.json?${riding(looking())}`);
  const shades = /** @type {Record<string, string>} */ ({ no: "missed", waits: "waits", yes: "" });
  return html`<section class="part" aria-label="coil"><h1>May this frame take a coil?</h1>
    ${trouble && html`<p class="none" role="status">${isSag(trouble) ? NOT_ASKED : trouble}</p>`}
    ${found && !trouble && html`<p class=${`verdict-line ${found.may === "no" ? "missed" : ""}`}>${found.answer}</p>
    <${Table} name="conditions for a coil" hide=${true} head=${["condition", "met", "found and allowed"]}
      rows=${found.reasons.map(([what, may, why]) => [what, { text: may, class: shades[may] }, why])} />
    ${found.laid ? html`<h2>${found.laid.told[0]}</h2>
      <p class="none">air: ${found.laid.told[1]}; coil: ${found.laid.told[2]}</p>
      <${Plotted} chart=${found.laid.chart} name="coil over air" />
      <${Table} name="air and coil at the wheel" hide=${true} figures=${[1, 2]} head=${["at the wheel", "air", "coil"]} rows=${found.laid.rows} />
      <p>${found.laid.support}</p>` : html`<p class="none">The springs are not laid over each other: ${found.laid_waits}</p>`}
    <${Sentences} notes=${found.notes} />`}</section>`;
}

/** A cell with what stands small below it. @param {{text: string, below: string}} cell @returns {Cell} */
const bothUnits = ({ text, below }) => (below ? { text: `${text} (${below})`, node: html`${text}<small>${below}</small>` } : text);

/** The table for customers, of the chosen build. */
function Tunes() {
  const { view, ride } = state;
  const asked = new URLSearchParams({ build: view.build });
  for (const name of /** @type {const} */ (["sag_front", "sag_rear", "base"])) if (ride[name]) asked.set(name, ride[name]);
  /** @type {[ShownTunes | null, string, string, import("./types.js").Long]} */
  const [found, trouble, progress, long] = useLong(`/shown/tunes.json?${asked}`);
  return html`<section class="part tunes" aria-label="base tunes"><h1>Base tunes of ${view.build}</h1>
    <${Progress} found=${found} trouble=${trouble} progress=${progress} long=${isSag(trouble) ? { ...long, at: "sag" } : long} />
    ${found && found.builds.map((one) => html`<p class="none">${one.heading}</p>
      ${one.rows.length > 0 && html`<${Table} name=${`base tunes of ${view.build}`} hide=${true} figures=${one.heads.map((_, i) => i).slice(1)} head=${one.heads} rows=${one.rows.map((row) => row.map(bothUnits))} />`}
      ${one.refused.length > 0 && html`<ul class="reasons">${one.refused.map((why) => html`<li class="missed">${why}</li>`)}</ul>`}
      <${Sentences} notes=${one.waits} />`)}
    ${found && html`<p class="orders"><button type="button" onClick=${() => save(`/tunes.pdf?${asked}`, `base-tunes-${view.build}`)}>base tunes as PDF, A4</button></p>
    <${Sentences} notes=${found.notes} />`}</section>`;
}

/** Save a sheet; why there is none stands where all refusals do. @param {string} address @param {string} name */
async function save(address, name) {
  try {
    await handOver(address, `${name}.pdf`.replace(/[^\w.-]+/g, "-"));
  } catch (error) {
    refuse(error);
  }
}

/** The room. */
export function SetupRoom() {
  const { view, ride } = state;
  const asked = riding(looking());
  /** @type {[ShownSetup | null, string]} */
  const [found, trouble] = useDocument(`/shown/setup.json?${asked}`);
  /** @type {[{tunes: string[], builds: string[]} | null, string]} */
  const [bases] = useDocument(/** @type {string} */ ("/shown/bases.json"));
  const card = (/** @type {string} */ size) => () => {
    const at = new URLSearchParams(asked);
    at.set("card", size);
    // a code that leads to this machine itself would lead a telephone nowhere: then it holds the settings
    if (!isHere()) at.set("address", location.href);
    save(`/card.pdf?${at}`, `set-up-${view.build}-${view.size}-${ride.rider || "rider"}-${size}`);
  };
  return html`<div class="split"><div class="room"><h1>Set-up</h1>
      <${Asked} sags=${found ? found.sags : {}} bases=${bases} trouble=${trouble} />
      ${trouble && !isSag(trouble) && html`<p class="missed" role="status">${trouble}</p>`}
      ${!found && !trouble && html`<p class="none" role="status">On its way.</p>`}
      ${found && !trouble && html`
      ${found.refused.length > 0 && html`<section class="refusals"><h2>Refused</h2><ul>${found.refused.map((why) => html`<li>${why}</li>`)}</ul></section>`}
      <p class="verdict-line">${found.build.build}, size ${found.build.size}, for ${found.rider}</p>
      <${Ordered} steps=${found.steps} />
      <${Take} changes=${found.changes} />
      <p class="orders"><button type="button" onClick=${card("a6")}>card as PDF, A6</button><button type="button" onClick=${card("phone")}>card as PDF, phone</button></p>
      <div class="pairs">${found.choices.map((one) => html`<section key=${one.name}><h2>${one.name}</h2>
        <${Table} name=${one.name} hide=${true} head=${one.heads.map((h) => h || "says")} rows=${one.rows.map((row) => row.map((text, i) => ({ text, class: i === row.length - 1 && text !== "chosen" ? "missed" : "" })))} /></section>`)}</div>
      <p class="none">${found.reference}</p>
      <${Sentences} notes=${found.notes} />
      <${Beside} found=${found} />`}
      <${Coil} />
      <${Tunes} />
    </div><${Change} /></div>`;
}
