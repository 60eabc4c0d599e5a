// The hands put where they are wanted: what each dimension of the cockpit must become for it, and the draft made so.

import { Consequences } from "./change.js";
import { Typed } from "./fields.js";
import { settle } from "./hands.js";
import { make } from "./link.js";
import { AsJson, Choice, Progress, Sentences, ask, looking, refusedAt, useLong } from "./rooms.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownCockpit} ShownCockpit */
/** @typedef {ShownCockpit["solutions"][number]} Solution */
/** @typedef {import("./types.js").Cell} Cell */

/** One dimension as a row of cells. @param {Solution} one @param {boolean} stale @returns {Cell[]} */
function row(one, stale) {
  if (!one.cells) return [one.words, { text: one.refused, class: "waits", span: 4 }];
  const take = () => {
    settle();
    make([one.change]);
  };
  const stops = (one.stops || []).join("; ");
  const [now, becomes, change] = one.cells;
  return [one.words, now, { text: becomes, class: "set" }, { text: stops ? `${change}; ${stops}` : change, class: stops ? "missed" : "" },
    { text: one.change, node: html`<button type="button" name=${`take-${one.by}`} aria-label=${`take into the draft: ${one.words}`} disabled=${stale} onClick=${take}>take into the draft</button>` }];
}

/** The section. @param {{hands: import("./types.js").ShownFit["hands"]}} props */
export function Cockpit({ hands }) {
  const [by, setBy] = useState("");
  const { ride } = state;
  const asked = looking();
  if (ride.rider) asked.set("rider", ride.rider);
  const [want] = ride.want.split("=");
  if (ride.want) asked.set("want", ride.want);
  /** @type {[ShownCockpit | null, string, string, import("./types.js").Long]} */
  const [found, trouble, progress, long] = useLong(ride.want ? `/shown/cockpit.json?${asked}` : "");
  const solved = found ? found.solutions.filter((one) => one.cells) : [];
  const chosen = solved.find((one) => one.by === by) || solved[0];
  if (chosen) asked.set("by", chosen.by);
  return html`<section class="part" aria-label="hands"><h1>Where should the hands be?</h1>
    <p class="none">Type what is wanted into one of the fields; each dimension then says what it must become for it.</p>
    <form class="orders fields" aria-label="a wanted place of the hands" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      ${hands.map((hand) => html`<label key=${hand.want}><span>${hand.label}</span> <b>${hand.text}</b> <span class="wanted">wanted <${Typed} name=${`want-${hand.want}`} size=${6} hint=${hand.now || "unknown"} unit="mm"
        now=${hand.want === want ? ride.want.slice(want.length + 1) : ""} said=${hand.want === want ? refusedAt({ long, at: "want", trouble }) : ""}
        tell=${(/** @type {string} */ text) => ask({ want: text ? `${hand.want}=${text}` : "" })} /></span></label>`)}</form>
    ${ride.want && html`<${Progress} found=${found} trouble=${trouble} progress=${progress} long=${long} />`}
    ${found && html`<p class="verdict-line">${found.told}</p>
    <div class="stacked"><${Table} name="what each dimension must become" hide=${true} figures=${[1, 2, 3]} head=${[...found.heads, ""]} rows=${found.solutions.map((one) => row(one, Boolean(progress)))} /></div>
    <p class="none">A press takes that one dimension, as one step that undo takes back; the draft keeps its own rider and saddle.</p>
    ${chosen && html`<form class="orders" aria-label="what follows" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="by" label="what follows from" now=${chosen.by} choices=${solved.map((one) => [one.by, one.words])} tell=${setBy} />
      <${AsJson} address=${`/cockpit.json?${asked}`} name="hands" /></form>
    ${chosen.follows && html`<details><summary>${chosen.words}: what else follows on the bike</summary><p class="none">${chosen.reached}</p>
      <${Consequences} comparison=${chosen.follows} heading=${`what follows of ${chosen.words}`} /></details>`}`}
    <${Sentences} notes=${found.notes} />`}</section>`;
}
