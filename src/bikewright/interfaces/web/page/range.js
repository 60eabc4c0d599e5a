// The range of sizes: whom they fit, the firm's own list beside them, how they may step, and riders of an older range.

import { Change } from "./change.js";
import { Typed } from "./fields.js";
import { Buyers, ListField, useLists } from "./list.js";
import { Plotted } from "./plotted.js";
import { Regroup } from "./regroup.js";
import { AsJson, Choice, Progress, Sentences, ask, ofRange, refusedAt, several, useDocument, useLong } from "./rooms.js";
import { Steps } from "./stepping.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownCoverage} ShownCoverage */
/** @typedef {import("./types.js").ShownBound} ShownBound */
/** @typedef {import("./types.js").Long} Long */
/** @typedef {{long: Long, trouble: string}} Refusing */

/** @param {string} text of `name=value`, several @returns {Map<string, string>} */
const asMap = (text) => new Map(several(text).map((one) => {
  const at = one.indexOf("=");
  return at < 0 ? [one, ""] : [one.slice(0, at).trim(), one.slice(at + 1).trim()];
}));

/** The same with one of them changed, as one text. @param {string} text @param {string} name @param {string} value @returns {string} */
function withOne(text, name, value) {
  const all = asMap(text);
  if (value) all.set(name, value);
  else all.delete(name);
  return [...all].map(([key, said]) => `${key}=${said}`).join("; ");
}

/** Bounds of one's own, each in two fields; an empty field is the default that stands in it. @param {Refusing} props */
function Bounds({ long, trouble }) {
  /** @type {[{bounds: ShownBound[], note: string} | null, string]} */
  const [found] = useDocument(/** @type {string} */ ("/shown/bounds.json"));
  const [open, setOpen] = useState(Boolean(state.ride.bound));
  const said = asMap(state.ride.bound);
  const known = found ? found.bounds : [];
  const tell = (/** @type {ShownBound} */ one, /** @type {number} */ end) => (/** @type {string} */ text) => {
    const ends = (said.get(one.bound) || "..").split("..");
    // the end that is not typed is the default, so that a bound that is stated anew says both
    const next = [ends[0] || one.low, ends[1] || one.high];
    next[end] = text || [one.low, one.high][end];
    ask({ bound: withOne(state.ride.bound, one.bound, next[0] === one.low && next[1] === one.high ? "" : next.join("..")) });
  };
  const field = (/** @type {ShownBound} */ one, /** @type {number} */ end, /** @type {string} */ refused) => {
    const typed = (said.get(one.bound) || "..").split("..")[end] || "";
    const usual = [one.low, one.high][end];
    return html`<${Typed} name=${`${one.bound}.${end ? "high" : "low"}`} label=${`${one.posture}, ${one.label}, ${end ? "at most" : "at least"}`} size=${4} hint=${usual || "open"} numbers=${true}
      now=${typed === usual ? "" : typed} unit=${end ? "°" : ""} said=${refused} tell=${tell(one, end)} />`;
  };
  const postures = [...new Set(known.map((one) => one.posture))];
  const others = [...said.keys()].filter((name) => found && !known.some((one) => one.bound === name));
  return html`<details open=${open} onToggle=${(/** @type {any} */ e) => setOpen(e.target.open)}><summary>bounds of your own${said.size ? `: ${said.size}` : ""}</summary>
    ${open && html`<div class="pairs bounds">${postures.map((posture) => html`<section key=${posture}><h3>${posture}</h3>
      ${known.filter((one) => one.posture === posture).map((one) => html`<div class="value" key=${one.bound}><span>${one.label}</span>
        <span class="entry">${field(one, 0, "")} to ${field(one, 1, refusedAt({ long, at: `bound ${one.bound}`, trouble }))}</span></div>`)}</section>`)}</div>
    ${others.map((name) => html`<p class="missed">${name}: ${refusedAt({ long, at: `bound ${name}`, trouble })} <button type="button" onClick=${() => ask({ bound: withOne(state.ride.bound, name, "") })}>take it out</button></p>`)}
    <p class="none">${found && found.note}</p>
    ${said.size > 0 && html`<button type="button" onClick=${() => ask({ bound: "" })}>all defaults</button>`}`}</details>`;
}

/** The rider that each size is made for. @param {Refusing} props */
function Own({ long, trouble }) {
  const { welcome, draft, ride } = state;
  const said = asMap(ride.own);
  const refused = refusedAt({ long, at: "own", trouble });
  const riders = /** @type {[string, string][]} */ (((draft && draft.riders) || []).map((name) => [name, name]));
  return html`<details open=${Boolean(ride.own)}><summary>riders that sizes are made for${said.size ? `: ${said.size}` : ""}</summary>
    <div class="orders">${(welcome ? welcome.sizes : []).map((size) => html`<${Choice} key=${size} name=${`own-${size}`} label=${`size ${size}`} now=${said.get(size) || ""} choices=${[["", "by its table"], ...riders]}
      tell=${(/** @type {string} */ rider) => ask({ own: withOne(ride.own, size, rider) })} />`)}</div>
    ${refused && html`<p class="missed">${refused} <button type="button" onClick=${() => ask({ own: "" })}>all by their tables</button></p>`}
    <p class="none">Steps below are told on these riders too.</p></details>`;
}

/** Whom the sizes fit. */
function Coverage() {
  const [turn, setTurn] = useState(0);
  const { ride } = state;
  const who = ride.outlines === "women" ? "women" : "men";
  const { lists, largest } = useLists(turn);
  const asked = ofRange(["population", "women_pct", "list", "bound", "own", "for"]);
  /** @type {[ShownCoverage | null, string, string, Long]} */
  const [found, trouble, progress, long] = useLong(`/shown/coverage.json?${asked}`);
  const at = (/** @type {string} */ name) => refusedAt({ long, at: name, trouble });
  const buyers = found && ride.list ? found.buyers : null;
  return html`<h1>Whom do the sizes fit?</h1>
    <form class="orders" aria-label="who is asked about" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="outlines" label="outlines of" now=${who} choices=${[["men", "men"], ["women", "women"]]} tell=${(/** @type {string} */ value) => ask({ outlines: value === "men" ? "" : value })} />
      <${Choice} name="population" label="shares of" now=${ride.population} choices=${[["", "the survey (soldiers)"], ...lists.map((one) => [one.list, `the people of ${one.name}`])]} tell=${(/** @type {string} */ value) => ask({ population: value })} />
      ${ride.population ? "" : html`<label>women among them <${Typed} name="women_pct" size=${4} hint="50" numbers=${true} now=${ride.women_pct} unit="%" said=${at("women_pct")} tell=${(/** @type {string} */ value) => ask({ women_pct: value })} /></label>`}
      ${at("population") && html`<strong class="said" role="status">${at("population")}</strong>`}
      <label class="wide">a size that is sold otherwise <${Typed} name="sold" size=${44} hint="S:seatpost=dropper-125; M:seatpost=dropper-150" now=${ride.for} said=${at("for")} tell=${(/** @type {string} */ value) => ask({ for: value })} /></label></form>
    <${ListField} said=${at("list") || (found && !trouble && found.list_trouble) || ""} lists=${lists} largest=${largest} came=${() => setTurn(turn + 1)} />
    <${Bounds} long=${long} trouble=${trouble} />
    <${Own} long=${long} trouble=${trouble} />
    <${Progress} found=${found} trouble=${trouble} progress=${progress} long=${long} />
    ${found && html`<p class="none">${found.people} ${found.bounds}</p>
    <${Plotted} chart=${found.charts[who]} marks=${buyers ? buyers.marks[who] : null} name="whom the sizes fit" />
    ${buyers && html`<${Buyers} buyers=${buyers} who=${who} />`}
    <h2>Bands and shares</h2>
    <${Table} name="bands and shares" hide=${true} figures=${[1, 2, 3, 4, 5]} head=${found.heads} rows=${found.bands} />
    ${found.sold.length > 0 && html`<h2>What goes with the size</h2>
    <${Table} name="what goes with the size" hide=${true} head=${["part", ...found.sold_heads.slice(1)]} rows=${found.sold} />`}
    <h2>What begins and ends each band</h2>
    <${Table} name="what begins and ends each band" hide=${true} head=${["size", "begins, men", "ends, men", "made for"]} rows=${found.edges} />
    <h2>Sizes that follow each other</h2>
    <ul class="reasons">${found.neighbours.map((pair) => html`<li class=${pair.includes("a gap from") ? "missed" : ""}>${pair}</li>`)}</ul>
    <${Sentences} notes=${found.notes} />
    <p><${AsJson} address=${`/coverage.json?${asked}`} name="coverage" /></p>`}`;
}

/** The room. */
export function RangeRoom() {
  return html`<div class="split"><div class="room"><section aria-label="coverage"><${Coverage} /></section>
      <section aria-label="steps" class="part"><${Steps} /></section>
      <section aria-label="old to new" class="part"><${Regroup} /></section>
    </div><${Change} /></div>`;
}
