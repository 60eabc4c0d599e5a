// The drawing and the charts on the page: painted at once when a screen comes, past the page's slower rest.

import { Chart, figure, nearest } from "./curves.js";
import { Drawing } from "./drawing.js";
import { grips, hands, valueAt } from "./hands.js";
import { make } from "./link.js";
import { listen, set, state } from "./store.js";
import { hasCentre } from "./symbols.js";
import { Copy, Table } from "./table.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").Screen} Screen */
/** @typedef {import("./symbols.js").Pose} Pose */

/** keys of the catalogue that the drawing dimensions */
const DIMENSIONED = [
  "wheelbase_mm", "bb_height_mm", "rear_centre_mm", "front_centre_mm", "reach_mm", "stack_mm", "head_angle_deg", "seat_tube_angle_deg",
];

/** Texts of the dimensions, with the change where there is one. @param {Screen} screen */
function dimensionTexts(screen) {
  const found = new Map();
  for (const row of screen.values) {
    if (!DIMENSIONED.includes(row.key) || row.number === null) continue;
    const moved = row.before !== null && row.text !== row.before_text;
    found.set(row.key, { text: row.text, more: moved ? `(${row.change_text})` : "" });
  }
  return found;
}

/** The pose that is shown: of the state, or of a place in the travel. */
function shownPose() {
  const { screen, scrub, travel } = state;
  if (scrub !== null && travel.poses[scrub]) return travel.poses[scrub];
  return screen && screen.pose ? screen.pose : state.good;
}

/** Whether two things hold the same, to the first difference. @param {any} a @param {any} b @returns {boolean} */
function equal(a, b) {
  if (a === b) return true;
  if (a === null || b === null || typeof a !== "object" || typeof b !== "object") return false;
  const names = Object.keys(a);
  return names.length === Object.keys(b).length && names.every((name) => equal(a[name], b[name]));
}

/** Whether two poses would be drawn the same: then a dashed one says nothing. @param {Pose | null} a @param {Pose | null} b */
const isSame = (a, b) => a && b && equal({ ...a, title: "" }, { ...b, title: "" });

/** @returns {import("./drawing.js").Scene} */
function scene(still = false) {
  const { screen } = state;
  const pose = shownPose();
  const scrubbed = state.scrub !== null;
  const stopped = state.trouble && !state.trouble.deed && state.trouble.kind ? state.trouble : null;
  const place = stopped && (stopped.place || { pin: state.chosen.replace(/^pin /, ""), travel_mm: null });
  return {
    what: screen ? [screen.build.build, screen.build.size, screen.state].join() : "",
    pose,
    before: scrubbed || !screen || isSame(screen.pose, screen.before) ? null : screen.before,
    handles: still || scrubbed || !screen || !screen.pose ? [] : grips(screen),
    values: state.dimensions && !still && !scrubbed && screen && screen.values && screen.values.length ? dimensionTexts(screen) : null,
    spoken: screen ? `Side view of ${screen.build.bike}, build ${screen.build.build}, size ${screen.build.size}, with the pinned build dashed` : "Side view",
    fault: place || null,
    chosen: state.chosen,
  };
}

const MOVES = ["screen", "scrub", "chosen", "dimensions", "travel", "trouble"];

/** The drawing. */
export function Stage({ still = false }) {
  const host = useRef(/** @type {(HTMLElement & {drawing?: Drawing}) | null} */ (null));
  useEffect(() => {
    if (!host.current) return undefined;
    const drawing = new Drawing(host.current, hands);
    const draw = () => (state.screen || state.good) && drawing.show(scene(still));
    draw();
    // for a person at the keyboard of the browser's own tools
    host.current.drawing = drawing;
    return listen((what) => what.some((w) => MOVES.includes(w)) && draw());
  }, []);
  return html`<div class="stage" ref=${host}></div>`;
}

/** The key: what each line means. */
export function Key() {
  const { screen } = state;
  if (!screen) return null;
  const pose = shownPose();
  return html`<ul class="key" aria-label="lines">
    <li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class="outline" d="M0 4H30" /></svg> ${screen.build.build}, as it is</li>
    ${screen.before && html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class="ghost" d="M0 4H30" /></svg> ${screen.before.title}, pinned</li>`}
    ${pose && pose.axle_path && html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class="path" d="M0 4H30" /></svg> path of the rear axle</li>`}
    ${pose && hasCentre(pose) && html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class="path" d="M11 0L19 8M11 8L19 0" /></svg> instant centre</li>`}
  </ul>`;
}

/** The chosen point, its places typed. */
export function Point() {
  const { screen, chosen } = state;
  const grip = screen && grips(screen).find((g) => g.name === chosen);
  if (!grip) return html`<p class="point none">Drag a point, or choose it and press the arrow keys: 0.1 mm, with shift 1 mm, with alt 5 mm.</p>`;
  return html`<div class="point"><span class="what">${grip.label}</span>
    ${grip.fields.map(([word, address]) => html`<${Place} key=${address} word=${word} address=${address} />`)}</div>`;
}

/** One typed value; its message stands at the field. @param {{word: string, address: string}} props */
function Place({ word, address }) {
  const value = valueAt(address);
  const shown = typeof value === "number" ? String(Math.round(value * 100) / 100) : value === null ? "" : String(value);
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const unit = address.endsWith("_deg") ? "°" : address.endsWith("_mm") ? "mm" : "";
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    if (typed !== null && typed.trim() !== "" && typed !== shown) make([`${address}=${typed.trim()}`]);
    setTyped(null);
  };
  return html`<form onSubmit=${send} class="place"><label>${word}
    <input inputmode="decimal" size="7" value=${typed === null ? shown : typed} placeholder=${shown ? "" : "unknown"} aria-label=${`${word}, ${address}`}
      onInput=${(/** @type {any} */ e) => setTyped(e.target.value)} onBlur=${send} /></label> ${unit}</form>`;
}

let walking = 0;

/** The travel: scrubbed, or run through. */
export function Scrubber() {
  const { travel, scrub, screen } = state;
  const [going, setGoing] = useState(false);
  useEffect(() => () => cancelAnimationFrame(walking), []);
  if (!travel.poses.length) return null;
  const last = travel.poses.length - 1;
  const stale = screen && travel.key !== screen.build.key;
  const stop = () => {
    cancelAnimationFrame(walking);
    setGoing(false);
  };
  const go = () => {
    if (going) return stop();
    setGoing(true);
    readTravel(null);
    const start = performance.now();
    const walk = (/** @type {number} */ now) => {
      const phase = (((now - start) / 2600) % 1) * 2;
      const at = Math.round((phase < 1 ? phase : 2 - phase) * last);
      if (at !== state.scrub) set({ scrub: at });
      walking = requestAnimationFrame(walk);
    };
    walking = requestAnimationFrame(walk);
    return undefined;
  };
  const slide = (/** @type {any} */ event) => {
    stop();
    readTravel(Number(travel.poses[Number(event.target.value)].state));
  };
  const at = scrub === null ? null : Number(travel.poses[scrub].state);
  return html`<div class="scrubber" role="group" aria-label="travel">
    <label>travel <input type="range" min="0" max=${last} step="1" value=${scrub === null ? 0 : scrub} onInput=${slide} aria-valuetext=${at === null ? "not moved" : `${at.toFixed(0)} mm of wheel travel`} /></label>
    <output>${at === null ? "" : `${at.toFixed(0)} mm`}${stale ? ", before this change" : ""}</output>
    <button type="button" onClick=${go}>${going ? "stop" : "move"}</button>
    <button type="button" disabled=${scrub === null} onClick=${() => (stop(), readTravel(null))}>as it stands</button>
  </div>`;
}

/** Who reads which travel: all charts at one place. */
let readAt = /** @type {number | null} */ (null);
/** @type {Set<() => void>} */
const readers = new Set();

/** Read all curves at a travel and move the bike there, or let both go. @param {number | null} x */
export function readTravel(x) {
  if (x === readAt && (x === null) === (state.scrub === null)) return;
  readAt = x;
  const { travel } = state;
  const at = x === null || !travel.poses.length ? null : nearest(travel.poses.map((p) => Number(p.state)), x);
  if (at !== state.scrub) set({ scrub: at });
  for (const reader of readers) reader();
}

/** What a curve reads at a travel, or at its ends. @param {import("./types.js").ShownCurve} curve @returns {{x: number, now: string, before: string} | null} */
function reading(curve) {
  if (readAt === null) return null;
  const n = curve.now;
  const b = curve.before;
  const base = n || b;
  if (!base || !base.x.length) return null;
  const i = nearest(base.x, readAt);
  return {
    x: base.x[i],
    now: n ? figure(n.y[i], curve) : "–",
    before: b ? figure(b.y[nearest(b.x, base.x[i])], curve) : "–",
  };
}

/** One chart with its heading, its reading and its figures. @param {{address: string}} props */
function OneChart({ address }) {
  const host = useRef(/** @type {(HTMLElement & {chart?: Chart}) | null} */ (null));
  const said = useRef(/** @type {HTMLElement | null} */ (null));
  const find = () => state.screen && state.screen.curves.find((c) => c.address === address);
  const curve = find();
  const has = curve && (curve.now || curve.before);
  useEffect(() => {
    if (!has) return undefined;
    if (!host.current || !curve) return undefined;
    const drawn = new Chart(host.current, curve, (x) => readTravel(x));
    const write = () => {
      const c = find();
      if (!said.current || !c) return;
      const r = reading(c);
      const words = r ? `${r.now} at ${r.x.toFixed(0)} mm, pinned ${r.before}` : c.trouble || (c.now && c.now.gap) || `over ${c.along}, mm`;
      // the same words written again would have the page laid out again
      if (said.current.textContent !== words) said.current.textContent = words;
      drawn.point(readAt);
    };
    host.current.chart = drawn;
    readers.add(write);
    const quit = listen((what) => {
      if (what.includes("screen")) {
        const c = find();
        if (c && (c.now || c.before)) drawn.show(c);
        write();
      }
      if (what.includes("theme")) drawn.retone();
    });
    write();
    return () => {
      quit();
      readers.delete(write);
      drawn.end();
    };
  }, [Boolean(has)]);
  if (!curve) return html`<figure class="chart"><figcaption><b>${address}</b></figcaption><div class="plot"></div></figure>`;
  const key = (/** @type {KeyboardEvent} */ event) => {
    const base = curve.now || curve.before;
    if (!base) return;
    const at = readAt === null ? -1 : nearest(base.x, readAt);
    const step = event.shiftKey ? 10 : 1;
    const last = base.x.length - 1;
    const to = { ArrowRight: Math.min(last, at + step), ArrowLeft: Math.max(0, at - step), Home: 0, End: last }[event.key];
    if (to === undefined) {
      if (event.key === "Escape") readTravel(null);
      return;
    }
    event.preventDefault();
    readTravel(base.x[to]);
  };
  const rows = () => {
    const base = curve.now || curve.before;
    return (base ? base.x : []).map((x, i) => [
      x.toFixed(1), curve.now ? curve.now.y[i] : null, curve.before ? curve.before.y[nearest(curve.before.x, x)] : null,
    ]);
  };
  const head = [`${curve.along} mm`, `${curve.label} ${curve.unit}`.trim(), "pinned"];
  return html`<figure class="chart" data-address=${address}>
    <figcaption><b>${curve.label}</b>${curve.unit ? html` <span class="unit">${curve.unit}</span>` : ""}
      <output class="said" ref=${said} aria-live="off"></output></figcaption>
    ${has ? html`<div class="plot" ref=${host} tabindex="0" role="group" aria-label=${`curve of ${curve.label}; left and right arrows read it`} onKeyDown=${key} onMouseLeave=${() => readTravel(null)}></div>`
      : html`<p class="plot none">${(curve.trouble || "There is no such curve for this build.").replace(`${curve.label} `, "")}</p>`}
    ${has && html`<${Figures} curve=${curve} head=${head} rows=${rows} />`}
  </figure>`;
}

/**
 * The figures of a curve as a table, made when it is opened.
 * @param {{curve: import("./types.js").ShownCurve, head: string[], rows: () => (string | number | null)[][]}} props
 */
function Figures({ curve, head, rows }) {
  const [open, setOpen] = useState(false);
  const some = () => rows().filter((/** @type {any} */ _, /** @type {number} */ i) => i % 5 === 0)
    .map((/** @type {any[]} */ row) => [row[0], figure(row[1], { ...curve, unit: "" }), figure(row[2], { ...curve, unit: "" })]);
  return html`<details onToggle=${(/** @type {any} */ e) => setOpen(e.target.open)}><summary>figures</summary>
    ${open && html`<${Table} name=${curve.label} head=${head} rows=${some()} figures=${[0, 1, 2]} hide=${true} />
    <p class="none">Every fifth of ${rows().length} places. All of them: <${Copy} head=${head} rows=${rows} name=${`all places of ${curve.label}`} /></p>`}</details>`;
}

/** Charts side by side. @param {{addresses: string[]}} props */
export function Charts({ addresses }) {
  return html`<div class="charts">${addresses.map((/** @type {string} */ a) => html`<${OneChart} key=${a} address=${a} />`)}</div>`;
}

/** All curves at one travel, as rows. */
export function Readings() {
  const [, again] = useState(0);
  useEffect(() => {
    const tell = () => again((n) => n + 1);
    readers.add(tell);
    return () => readers.delete(tell);
  }, []);
  const { screen } = state;
  if (!screen) return null;
  const rows = screen.curves.filter((c) => c.now || c.before).map((c) => {
    const r = reading(c);
    return [c.label, r ? r.now : "–", r ? r.before : "–"];
  });
  const x = screen.curves.map(reading).find(Boolean);
  return html`<section class="readings"><h2>${x ? `At ${x.x.toFixed(0)} mm of travel` : "At one travel"}</h2>
    ${x ? html`<${Table} name="all curves at one travel" head=${["curve", "as it is", "pinned"]} rows=${rows} figures=${[1, 2]} hide=${true} />`
      : html`<p class="none">Point at a curve, or choose one and press the arrow keys: all curves are read there and the bike moves to it.</p>`}</section>`;
}
