// A rider on the chosen build: angles, saddle, post, hands and feet; below, the hands put where they are wanted.

import { Change } from "./change.js";
import { Cockpit } from "./cockpit.js";
import { Drawing } from "./drawing.js";
import { settle } from "./hands.js";
import { make } from "./link.js";
import { Choice, Sentences, ask, looking, ownRider, useDocument } from "./rooms.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownFit} ShownFit */
/** @typedef {import("./types.js").FitPosture} FitPosture */

const POSTURES = /** @type {[string, string][]} */ ([["standing", "standing"], ["climb", "seated climb"], ["seated", "seated on the flat"]]);
const STILL = { choose() {}, drag() {}, drop() {}, abandon() {}, nudge() {} };

/** The rider on the bike with the angles of a posture. @param {{posture: FitPosture | undefined, spoken: string}} props */
function Picture({ posture, spoken }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const drawing = useRef(/** @type {Drawing | null} */ (null));
  useEffect(() => {
    if (host.current) drawing.current = new Drawing(host.current, STILL);
  }, []);
  useEffect(() => {
    if (!drawing.current || !posture) return;
    drawing.current.show({
      what: posture.name, pose: posture.pose && { ...posture.pose, instant_centre: null }, before: null, handles: [], values: null, angles: posture.marks, fault: null, chosen: "", spoken,
    });
  }, [posture]);
  return html`<div class="stage low posed" ref=${host}></div>${posture && posture.refusal && html`<p class="missed" role="status">${posture.refusal}</p>`}`;
}

/** Every posture's angles beside their ranges. @param {{posture: FitPosture}} props */
function Angles({ posture }) {
  if (posture.refusal) return html`<section><h2>${posture.heading}</h2><p class="missed">${posture.refusal}</p></section>`;
  const rows = posture.angles.map(({ cells, outside }) => cells.map((text, i) => ({ text, class: outside && (i === 1 || i === 3) ? "missed" : ["", "", "whole-line", "", "source"][i] })));
  return html`<section><h2>${posture.heading}</h2>
    <div class="named"><${Table} name=${posture.heading} hide=${true} figures=${[1]} head=${["joint", "angle", "range", "verdict", "source"]} rows=${rows} /></div>
    ${posture.loads.length > 0 && html`<p class="none">${posture.loads.join("; ")}</p>`}</section>`;
}

/** The post of the build, and which of the shelf fits. @param {{post: ShownFit["post"]}} props */
function Post({ post }) {
  const put = (/** @type {string} */ name) => () => {
    settle();
    make([`seatpost=${name}`]);
  };
  const rows = post.shelf.map(([name, drop, says]) => {
    const fits = post.fitting.includes(name);
    const act = name === post.now ? "in the build" : "";
    return [name, drop, { text: says, class: fits ? "" : "missed" },
      { text: act, node: act ? html`<span>${act}</span>` : html`<button type="button" aria-label=${`put it in: ${name}`} disabled=${!fits} onClick=${put(name)}>put it in</button>` }];
  });
  return html`<section><h2>${post.heading}</h2>
    ${post.refusal && html`<p class="missed">${post.refusal}</p>`}${post.waits && html`<p class="none">waits for ${post.waits}</p>`}
    <${Table} name="the post in this size" hide=${true} head=${["", "length"]} rows=${post.rows} />
    ${rows.length > 0 && html`<h3>On the shelf, longest drop first</h3>
      <${Table} name="posts of the shelf" hide=${true} figures=${[1]} head=${["post", "drop", "in this size", ""]} rows=${rows} />`}</section>`;
}

/** How the rider chosen stands and sits. */
function OfRider() {
  const [posture, setPosture] = useState("seated");
  const { draft, ride } = state;
  const asked = looking();
  if (ride.rider) asked.set("rider", ride.rider);
  /** @type {[ShownFit | null, string]} */
  const [found, trouble] = useDocument(`/shown/fit.json?${asked}`);
  const riders = /** @type {[string, string][]} */ (((draft && draft.riders) || []).map((name) => [name, name]));
  const drawn = found ? found.postures.find((one) => one.name === posture) : undefined;
  return html`<h1>Does it fit?</h1>
    <form class="orders" aria-label="who and how" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="rider" label="rider" now=${ride.rider} choices=${[["", ownRider()], ...riders]} tell=${(/** @type {string} */ rider) => ask({ rider })} />
      <${Choice} name="posture" label="drawn" now=${posture} choices=${POSTURES} tell=${setPosture} /></form>
    ${trouble && html`<p class="missed" role="status">${trouble}</p>`}
    ${!found && !trouble && html`<p class="none" role="status">On its way.</p>`}
    ${found && html`<p class=${found.fits ? "verdict-line" : "verdict-line missed"} role="status">${found.verdict}</p>
    ${found.reasons.length > 0 && html`<ul class="reasons">${found.reasons.map((reason) => html`<li>${reason}</li>`)}</ul>`}
    <${Picture} posture=${drawn} spoken=${`${found.rider} ${drawn ? drawn.label : ""} on ${found.build.bike}, size ${found.build.size}; the angles stand in the tables`} />
    <div class="pairs">${found.postures.map((one) => html`<${Angles} key=${one.name} posture=${one} />`)}
      <section><h2>Saddle height</h2><p class="none">${found.saddle.told}</p>
        <div class="named three"><${Table} name="saddle height by each rule" hide=${true} figures=${[1]} head=${["rule", "asks for", "in use", "source"]} rows=${found.saddle.rules.map(([rule, asks, use, source]) => [rule, asks, { text: use, class: "whole-line" }, { text: source, class: "source" }])} /></div></section>
      <${Post} post=${found.post} />
      <section><h2>Hands and feet</h2><${Table} name="hands and feet" hide=${true} figures=${[1]} head=${["", "length"]} rows=${found.cockpit} />
        ${found.cockpit_told.map((told) => html`<p>${told}</p>`)}
        ${found.cockpit_waits.map((waits) => html`<p class="none">${waits}</p>`)}</section>
      <section><h2>The rider among people</h2>
        <${Table} name="measures of the rider" hide=${true} figures=${[1]} head=${["measure", "", "smaller", ""]} rows=${found.measures} />
        <p class="none">${found.measures_note}</p></section></div>
    <${Sentences} notes=${found.notes} />
    <${Cockpit} hands=${found.hands} />`}`;
}

/** The room. */
export function FitRoom() {
  return html`<div class="split"><div class="room"><section aria-label="a rider on the build"><${OfRider} /></section></div><${Change} /></div>`;
}
