// The brief, line by line: what is asked, what the build looked at has, and whether that meets it; lines are typed here.

import { Change } from "./change.js";
import { Entry, against } from "./fields.js";
import { settle } from "./hands.js";
import { make } from "./link.js";
import { Choice, Waiting, looking, useDocument } from "./rooms.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").BriefLine} Line */
/** @typedef {import("./types.js").Cell} Cell */

/** How a verdict is shown. @param {Line} line @returns {string} */
const standing = (line) => (line.verdict === "low" || line.verdict === "high" ? "moved" : line.verdict === "met" ? "" : "waits");

/** One line as cells. @param {Line} line @returns {Cell[]} */
function cells(line) {
  const words = line.spoken;
  const address = `brief.${line.line}`;
  const end = (/** @type {"low" | "high"} */ which) => ({
    text: line[which],
    node: html`<${Entry} label=${`${which} of ${words}`} address=${`${address}.${which}`} now=${line[which]} unit="" width=${6} none="none" />`,
  });
  const remove = () => {
    settle();
    make([`remove ${address}`]);
  };
  const own = line.felt_own !== null;
  return [
    line.label, { text: line.verdict_text, class: standing(line) }, line.value_text, end("low"), end("high"), line.unit, line.for,
    {
      text: `${line.felt_text}${line.felt_from ? `, ${line.felt_from}` : ""}`,
      node: line.felt_text === "not felt" && !own ? html`<span class="none">not felt</span>`
        : html`<${Entry} label=${`felt step of ${words}`} address=${`${address}.felt_step`} now=${line.felt_own} unit=${own ? line.felt_unit : line.felt_from} width=${7} none=${line.felt_text} />`,
    },
    { text: line.why, class: "why" },
    { text: "", node: html`<button type="button" aria-label=${`remove the line ${words}`} onClick=${remove}>remove</button>` },
  ];
}

/** A line that is not there yet. */
function NewLine() {
  const { welcome, draft } = state;
  const [key, setKey] = useState("");
  const [at, setAt] = useState("table");
  const [size, setSize] = useState("");
  const [rider, setRider] = useState("");
  const [low, setLow] = useState("");
  const [high, setHigh] = useState("");
  if (!welcome || !draft) return null;
  const { quantities, families } = welcome.catalogue;
  const offered = quantities.filter((q) => q.scope === "state" || q.scope === "build");
  const entry = offered.find((q) => q.key === key);
  const address = entry ? `brief.${key}${entry.scope === "state" ? `@${at}` : ""}${size || rider ? `/${size}` : ""}${rider ? `/${rider}` : ""}` : "";
  const add = (/** @type {Event} */ event) => {
    event.preventDefault();
    const changes = /** @type {[string, string][]} */ ([["low", low], ["high", high]]).filter(([, typed]) => typed.trim()).map(([end, typed]) => `${address}.${end}=${typed.trim()}`);
    if (!address || !changes.length) return;
    settle();
    setLow("");
    setHigh("");
    make(changes).then((isTaken) => {
      if (isTaken) return;
      setLow((now) => now || low);
      setHigh((now) => now || high);
    });
  };
  const said = address && (against(`${address}.low`) || against(`${address}.high`));
  /** @param {string} name @param {string} now @param {(value: string) => void} tell @param {[string, string][]} choices */
  const select = (name, now, tell, choices) => html`<${Choice} name=${`new-${name}`} label=${name} now=${now} choices=${choices} tell=${tell} />`;
  return html`<form class="orders newline" onSubmit=${add} aria-label="a new line">
    <label>quantity <select name="new-quantity" value=${key} onChange=${(/** @type {any} */ e) => setKey(e.target.value)}>
      <option value="">choose one</option>
      ${Object.entries(families).map(([family, heading]) => {
        const own = offered.filter((q) => q.family === family);
        return own.length ? html`<optgroup label=${heading}>${own.map((q) => html`<option value=${q.key}>${q.label}</option>`)}</optgroup>` : "";
      })}</select></label>
    ${entry && entry.scope === "state" && select("state", at, setAt, Object.entries(welcome.states))}
    ${select("size", size, setSize, [["", "all"], .../** @type {[string, string][]} */ (welcome.sizes.map((s) => [s, s]))])}
    ${select("rider", rider, setRider, [["", "any"], .../** @type {[string, string][]} */ (draft.riders.map((r) => [r, r]))])}
    <label>low <input name="new-low" inputmode="decimal" size="6" value=${low} onInput=${(/** @type {any} */ e) => setLow(e.target.value)} /></label>
    <label>high <input name="new-high" inputmode="decimal" size="6" value=${high} onInput=${(/** @type {any} */ e) => setHigh(e.target.value)} /></label>
    <button type="submit" disabled=${!entry || !(low.trim() || high.trim())}>add the line</button>
    ${said && html`<strong class="said" role="status">${said}</strong>`}
  </form>`;
}

/** The room. */
export function Brief() {
  /** @type {[{lines: Line[]} | null, string]} */
  const [found, trouble] = useDocument(`/shown/brief.json?${looking()}`);
  const { view, model } = state;
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  const head = ["quantity", "verdict", "as it is", "low", "high", "unit", "for", "felt from", "why", ""];
  const missed = found.lines.filter((line) => line.verdict === "low" || line.verdict === "high").length;
  const open = found.lines.filter((line) => line.verdict === "unknown").length;
  const rider = model && model.rider && model.rider.name;
  return html`<div class="split"><div class="room brief"><h1>The brief</h1>
      <p class="none">${`${view.build}, size ${view.size}${rider ? `, ${rider}` : ""}: ${missed} missed, ${open} that wait, of ${found.lines.length} lines. Each is told in the state and with the rider that it names. An emptied felt step is the default again.`}</p>
      <${Table} name="lines of the brief" hide=${true} figures=${[2]} head=${head} rows=${found.lines.map(cells)} keys=${found.lines.map((line) => line.line)} />
      <h2>A new line</h2>
      <${NewLine} />
    </div><${Change} /></div>`;
}
