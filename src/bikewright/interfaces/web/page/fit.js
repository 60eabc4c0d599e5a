// A rider on the chosen build: angles, saddle, post, cockpit; below, whom all sizes fit, and how they may step.

import { Change } from "./change.js";
import { Drawing } from "./drawing.js";
import { Typed } from "./fields.js";
import { settle } from "./hands.js";
import { make, show } from "./link.js";
import { Plotted } from "./plotted.js";
import { Choice, Progress, Sentences, ask, looking, useDocument, useLong } from "./rooms.js";
import { set, state } from "./store.js";
import { Table } from "./table.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownFit} ShownFit */
/** @typedef {import("./types.js").ShownCoverage} ShownCoverage */
/** @typedef {import("./types.js").ShownSteps} ShownSteps */
/** @typedef {import("./types.js").FitPosture} FitPosture */

const POSTURES = /** @type {[string, string][]} */ ([["standing", "standing"], ["climb", "seated climb"], ["seated", "seated on the flat"]]);
const RULES = /** @type {[string, string][]} */ ([["equal", "equal steps"], ["posture", "equal posture"], ["share", "equal share on the front wheel"]]);
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
  const rows = posture.angles.map(({ cells, outside }) => cells.map((text, i) => ({ text, class: outside && (i === 1 || i === 3) ? "missed" : "" })));
  return html`<section><h2>${posture.heading}</h2>
    <${Table} name=${posture.heading} hide=${true} figures=${[1]} head=${["joint", "angle", "range", "verdict", "source"]} rows=${rows} />
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
      <${Choice} name="rider" label="rider" now=${ride.rider} choices=${[["", "the build's own"], ...riders]} tell=${(/** @type {string} */ rider) => ask({ rider })} />
      <${Choice} name="posture" label="drawn" now=${posture} choices=${POSTURES} tell=${setPosture} /></form>
    ${trouble && html`<p class="missed" role="status">${trouble}</p>`}
    ${!found && !trouble && html`<p class="none" role="status">On its way.</p>`}
    ${found && html`<p class=${found.fits ? "verdict-line" : "verdict-line missed"} role="status">${found.verdict}</p>
    ${found.reasons.length > 0 && html`<ul class="reasons">${found.reasons.map((reason) => html`<li>${reason}</li>`)}</ul>`}
    <${Picture} posture=${drawn} spoken=${`${found.rider} ${drawn ? drawn.label : ""} on ${found.build.bike}, size ${found.build.size}; the angles stand in the tables`} />
    <div class="pairs">${found.postures.map((one) => html`<${Angles} key=${one.name} posture=${one} />`)}
      <section><h2>Saddle height</h2><p class="none">${found.saddle.told}</p>
        <${Table} name="saddle height by each rule" hide=${true} figures=${[1]} head=${["rule", "asks for", "in use", "source"]} rows=${found.saddle.rules} /></section>
      <${Post} post=${found.post} />
      <section><h2>Hands and feet</h2><${Table} name="hands and feet" hide=${true} figures=${[1]} head=${["", "length"]} rows=${found.cockpit} />
        ${found.cockpit_waits.map((waits) => html`<p class="none">${waits}</p>`)}</section>
      <section><h2>The rider among people</h2>
        <${Table} name="measures of the rider" hide=${true} figures=${[1]} head=${["measure", "", "smaller", ""]} rows=${found.measures} />
        <p class="none">${found.measures_note}</p></section></div>
    <${Sentences} notes=${found.notes} />`}`;
}

/** Whom the sizes fit. */
function Coverage() {
  const [who, setWho] = useState("men");
  const [sold, setSold] = useState("");
  const asked = new URLSearchParams({ build: state.view.build });
  for (const one of sold.split(";").map((part) => part.trim()).filter(Boolean)) asked.append("for", one);
  /** @type {[ShownCoverage | null, string, string]} */
  const [found, trouble, progress] = useLong(`/shown/coverage.json?${asked}`);
  return html`<h1>Whom do the sizes fit?</h1>
    <form class="orders" aria-label="outlines and parts" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="outlines" label="outlines of" now=${who} choices=${[["men", "men"], ["women", "women"]]} tell=${setWho} />
      <label class="wide">a size that is sold otherwise <${Typed} name="sold" size=${44} hint="S:seatpost=dropper-125; M:seatpost=dropper-150" now=${sold} tell=${setSold} /></label></form>
    <${Progress} found=${found} trouble=${trouble} progress=${progress} />
    ${found && html`<p class="none">${found.people}</p>
    <${Plotted} chart=${found.charts[who]} name="whom the sizes fit" />
    <${Table} name="bands and shares" hide=${true} figures=${[1, 2, 3, 4, 5]} head=${found.heads} rows=${found.bands} />
    ${found.sold.length > 0 && html`<h2>What goes with the size</h2>
    <${Table} name="what goes with the size" hide=${true} head=${["part", ...found.sold_heads.slice(1)]} rows=${found.sold} />`}
    <h2>What begins and ends each band</h2>
    <${Table} name="what begins and ends each band" hide=${true} head=${["size", "begins, men", "ends, men", "made for"]} rows=${found.edges} />
    <h2>Sizes that follow each other</h2>
    <ul class="reasons">${found.neighbours.map((pair) => html`<li class=${pair.includes("a gap from") ? "missed" : ""}>${pair}</li>`)}</ul>
    <${Sentences} notes=${found.notes} />`}`;
}

/** How the sizes may step by a rule, and the draft made so. */
function Steps() {
  const { welcome, view } = state;
  const [rule, setRule] = useState("");
  const [keep, setKeep] = useState("");
  const [of, setOf] = useState("frame");
  const [steps, setSteps] = useState(/** @type {Record<string, string>} */ ({}));
  const asked = new URLSearchParams({ build: view.build, rule });
  if (of !== "frame") asked.set("of", of);
  if (keep) asked.set("keep", keep);
  const stated = of === "bar" ? ["bar_width", ...(rule === "equal" ? ["grip_reach", "grip_height"] : [])] : rule === "equal" ? ["reach", "stack", "seat_tube", "rear_centre"] : [];
  for (const name of stated) if (steps[name]) asked.append("step", `${name}=${steps[name]}`);
  /** @type {[ShownSteps | null, string, string]} */
  const [found, trouble, progress] = useLong(rule ? `/shown/steps.json?${asked}` : "");
  if (!welcome) return null;
  const take = () => {
    if (!found) return;
    settle();
    set({ view: { ...view, sizes: true }, sizes: null });
    make(found.changes);
    show();
  };
  const cells = (/** @type {string[][]} */ rows) => rows.map((row) => row.map((text) => ({ text, class: text.includes("→") ? "moved" : "" })));
  return html`<h1>How should the sizes step?</h1>
    <form class="orders" aria-label="a rule" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="rule" label="rule" now=${rule} choices=${[["", "choose one"], ...RULES.filter(([name]) => of === "frame" || name !== "share")]} tell=${setRule} />
      <${Choice} name="of" label="of" now=${of} choices=${[["frame", "the frame"], ["bar", "stem, bar and spacers"]]} tell=${(/** @type {string} */ what) => {
        setOf(what);
        if (what === "bar" && rule === "share") setRule("");
      }} />
      <${Choice} name="keep" label="kept size" now=${keep} choices=${[["", "the build's own"], ...welcome.sizes.map((s) => [s, s])]} tell=${setKeep} />
      ${rule && stated.map((name) => html`<label key=${name}>${`${name.replace("_", " ")} step`} <${Typed} name=${`step-${name}`} size=${5} hint="as it is" numbers=${true} now=${steps[name] || ""}
        tell=${(/** @type {string} */ step) => setSteps({ ...steps, [name]: step })} /> <span class="unit">mm</span></label>`)}</form>
    ${rule && html`<${Progress} found=${found} trouble=${trouble} progress=${progress} />`}
    ${rule && found && html`<p class="none">${found.told}</p>
    ${found.missed.length > 0 && html`<h2>The rule is not met</h2><ul class="reasons">${found.missed.map((why) => html`<li class="missed">${why}</li>`)}</ul>`}
    <h2>${of === "bar" ? "Stem, bar and spacers" : "Dimensions"}</h2>
    <${Table} name="dimensions before and after" hide=${true} figures=${found.heads.map((_, i) => i).slice(1)} head=${[of === "bar" ? "part" : "dimension", ...found.heads.slice(1)]} rows=${cells(found.dimensions)} />
    <p class="orders"><button type="button" name="take-steps" disabled=${!found.changes.length || Boolean(progress)} onClick=${take}>take into the draft</button>
      <span class="none">${found.changes.length ? `${found.changes.length} changes as one step, which undo takes back; what follows stands beside, for all sizes` : "Nothing changes: the draft is so already."}</span></p>
    <h2>On the rider that each size is made for, standing</h2>
    <${Table} name="what each size does to its own rider" hide=${true} figures=${found.fact_heads.map((_, i) => i).slice(1)} head=${found.fact_heads} rows=${found.facts} />
    <h2>What each rule costs</h2>
    <${Table} name="what each rule costs, spreads over the sizes" hide=${true} figures=${[1, 2, 3, 4, 5, 6, 7]} head=${["rule", ...found.cost_heads.slice(1)]} rows=${found.costs} />
    <${Sentences} notes=${found.notes} />`}`;
}

/** The room. */
export function FitRoom() {
  return html`<div class="split"><div class="room"><section aria-label="a rider on the build"><${OfRider} /></section>
      <section aria-label="coverage" class="part"><${Coverage} /></section>
      <section aria-label="steps" class="part"><${Steps} /></section>
    </div><${Change} /></div>`;
}
