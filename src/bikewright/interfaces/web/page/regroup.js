// Riders of an old range on this one: a kept version, the files or another bike's folder laid beside the draft.

import { Bands } from "./bands.js";
import { Typed } from "./fields.js";
import { AsJson, Choice, Progress, Sentences, ask, ofRange, refusedAt, useDocument, useLong } from "./rooms.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownRegroup} ShownRegroup */

/** Groups that end, or begin. @param {{heading: string, groups: string[], missed?: boolean}} props */
const Ends = ({ heading, groups, missed = false }) => groups.length > 0 && html`<h2>${heading}</h2><ul class="reasons">${groups.map((one) => html`<li class=${missed ? "missed" : ""}>${one}</li>`)}</ul>`;

/** The section. */
export function Regroup() {
  const { ride } = state;
  /** @type {[{versions: string[], folders: string[]} | null, string]} */
  const [olds] = useDocument(/** @type {string} */ ("/shown/olds.json"));
  const asked = ofRange(["old", "old_build", "list", "women_pct", "bound", "for"]);
  /** @type {[ShownRegroup | null, string, string, import("./types.js").Long]} */
  const [found, trouble, progress, long] = useLong(ride.old ? `/shown/regroup.json?${asked}` : "");
  const choices = [["", "choose one"], ["files", "this bike's files"], ...(olds ? olds.versions.map((label) => [`version:${label}`, `version ${label}`]) : []),
    ...(olds ? olds.folders.map((name) => [`folder:${name}`, `folder ${name}`]) : [])];
  if (ride.old && !choices.some(([value]) => value === ride.old)) choices.push([ride.old, ride.old]);
  const at = (/** @type {string} */ name) => refusedAt({ long, at: name, trouble });
  const who = ride.outlines === "women" ? "women" : "men";
  return html`<h1>From an old range to this one</h1>
    <form class="orders" aria-label="the old range" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="old" label="old range" now=${ride.old} choices=${choices} tell=${(/** @type {string} */ value) => ask({ old: value, old_build: "" })} />
      ${ride.old && !ride.old.startsWith("version:") && html`<label>its build <${Typed} name="old_build" size=${14} hint="of the same name" now=${ride.old_build} tell=${(/** @type {string} */ value) => ask({ old_build: value })} /></label>`}
      ${ride.old && html`<${AsJson} address=${`/regroup.json?${asked}`} name="old to new" />`}
      ${at("old") && html`<strong class="said" role="status">${at("old")}</strong>`}
      ${at("list") && html`<strong class="said" role="status">${at("list")}</strong>`}</form>
    <p class="none">${ride.list ? "Riders are the people of the list chosen above, whose size bought is the old size." : "Riders are those of the survey at mean proportions; a list that is chosen above takes its place."}</p>
    ${ride.old && html`<${Progress} found=${found} trouble=${trouble} progress=${progress} long=${long} />`}
    ${ride.old && found && html`<p class="verdict-line">${found.heading}</p><p class="none">${found.people}</p>
    <${Ends} heading="Lose their size" groups=${found.loses} missed=${true} />
    <${Bands} bars=${found.bars[who]} name=${`old and new sizes over stature, ${who}`} />
    <p class="none">Bands of ${who} of mean legs; outlines are chosen at the top of the room. Dashed: old. Full: new. Crossed: who loses a size.</p>
    <${Ends} heading="Had no size and have one" groups=${found.wins} />
    <div class="pairs moves">${found.groups.map((group) => html`<section key=${`${group.heading} ${group.who}`}><h2>${group.heading}</h2><p class="none">${group.who}; ${group.rider}</p>
      ${group.rows.length > 0 && html`<${Table} name=${`${group.heading}: ${group.who}`} hide=${true} figures=${[1, 2, 3]} head=${found.heads}
        rows=${group.rows.map(({ cells, felt }) => cells.map((text, i) => ({ text, class: felt && i > 1 ? "moved" : "" })))} />`}</section>`)}</div>
    <${Ends} heading="No size before or after" groups=${found.nobody} />
    <${Sentences} notes=${found.notes} />`}`;
}
