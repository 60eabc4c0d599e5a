// Kept versions: opened, pinned, and two or three of them laid beside one another.

import { Change, Consequences } from "./change.js";
import { figure, nearest } from "./curves.js";
import { Drawing } from "./drawing.js";
import { hands, settle } from "./hands.js";
import { order } from "./link.js";
import { Waiting, looking, useDocument } from "./rooms.js";
import { listen, recalled, set, state, FEW_CURVES } from "./store.js";
import { Table } from "./table.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").SideBySide} SideBySide */
/** @typedef {import("./types.js").BesideCurve} BesideCurve */
/** @typedef {import("./types.js").Cell} Cell */
/** @typedef {import("./types.js").KeptVersion} KeptVersion */

const MOST = 3;
/** line of the first, the second and the third: of the drawing and its key by class, of a curve by dashes */
const LINES = ["outline", "other o0", "other o1"];
const DASHES = [[], [2, 3], [8, 3]];

/** @param {string} of @returns {string} what a reader calls it */
const called = (of) => (of === "files" ? "the files" : of === "draft" ? "the draft" : of);

/** Lay others beside one another, and say so in the address. @param {string[]} names */
function lay(names) {
  set({ compare: names });
  const [path, query] = location.hash.split("?");
  const asked = new URLSearchParams(query || "");
  asked.delete("compare");
  const rest = asked.toString();
  history.replaceState(null, "", `${path}?${rest}${names.length > 1 ? `${rest && "&"}compare=${names.map(encodeURIComponent).join(",")}` : ""}`);
}

/** What is laid beside what: the first is what the others are told against. @param {{versions: KeptVersion[]}} props */
function Chosen({ versions }) {
  const now = state.compare;
  const sound = versions.filter((v) => !v.trouble).map((v) => v.label).reverse();
  const all = ["files", "draft", ...sound];
  const words = ["told against", "beside it", "and"];
  const choose = (/** @type {number} */ place) => (/** @type {any} */ event) => {
    const next = [...now];
    next[place] = event.target.value;
    const names = next.filter((name, i) => name && next.indexOf(name) === i);
    lay(names.slice(0, MOST));
  };
  return html`<form class="orders beside" aria-label="lay beside one another" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
    ${words.slice(0, Math.min(MOST, Math.max(2, now.length + 1))).map((word, place) => html`<label key=${word}>${word} <select name=${`beside-${place + 1}`} value=${now[place] || ""} onChange=${choose(place)}>
      <option value="">${place < 2 ? "choose one" : "none"}</option>
      ${all.filter((of) => of === now[place] || !now.includes(of)).map((of) => html`<option value=${of}>${called(of)}</option>`)}</select></label>`)}
    <button type="button" disabled=${!now.length} onClick=${() => lay([])}>none of these</button></form>`;
}

/** All of them over one another, the bottom brackets above one another. @param {{found: SideBySide}} props */
function Overlaid({ found }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const drawing = useRef(/** @type {Drawing | null} */ (null));
  useEffect(() => {
    if (!host.current) return;
    if (!drawing.current) {
      drawing.current = new Drawing(host.current, hands);
      // what is laid over the first is not hidden by it
      drawing.current.world.append(drawing.current.layers.others);
    }
    const [pose, ...others] = found.poses;
    drawing.current.show({
      pose, before: null, others: others.flatMap((p) => (p ? [p] : [])), handles: [], values: null, fault: null, chosen: "",
      spoken: `${found.builds.map((b) => called(b.of)).join(", ")} over one another, their bottom brackets above one another`,
    });
    if (pose) drawing.current.fit();
  }, [found]);
  return html`<div class="stage low" ref=${host}></div>`;
}

/** Which line is which. @param {{found: SideBySide}} props */
const Lines = ({ found }) => html`<ul class="key" aria-label="lines">${found.builds.map((b, i) => html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true">
  <path class=${LINES[i]} d="M0 4H30" /></svg> ${called(b.of)}: ${b.build}, size ${b.size}${found.poses[i] ? "" : ", which cannot be drawn in this state"}</li>`)}</ul>`;

/** @param {string} tone @returns {string} */
const ink = (tone) => getComputedStyle(document.documentElement).getPropertyValue(`--${tone}`).trim();

/** The lines of a curve on one axis. @param {BesideCurve} curve @returns {any[]} */
function columns(curve) {
  const known = curve.lines.map((line) => line || { x: [], y: [], gap: "" });
  const [first] = known;
  if (known.every((line) => line.x.length === first.x.length && line.x.every((x, i) => x === first.x[i]))) return [first.x, ...known.map((line) => line.y)];
  return uPlot.join(known.map((line) => [line.x, line.y]));
}

/** One curve of all of them, each in its own line. @param {{curve: BesideCurve, names: string[]}} props */
function Overlay({ curve, names }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const [at, setAt] = useState(/** @type {number | null} */ (null));
  const [theme, setTheme] = useState(0);
  const base = curve.lines.find((line) => line);
  useEffect(() => listen((what) => what.includes("theme") && setTheme((n) => n + 1)), []);
  useEffect(() => {
    const box = host.current;
    if (!box || !base) return undefined;
    const axis = { stroke: ink("muted"), font: "12px Source Sans 3, Source Sans Pro, Liberation Sans, Arial, sans-serif", grid: { stroke: ink("pale"), width: 1 }, ticks: { stroke: ink("pale"), width: 1, size: 4 }, gap: 4 };
    const values = (/** @type {unknown} */ _, /** @type {number[]} */ splits) => splits.map((v) => String(Math.round(v * 1e6) / 1e6).replace("-", "−"));
    const plot = new uPlot({
      width: Math.max(box.clientWidth, 120), height: Math.max(box.clientHeight, 90), pxAlign: 0, legend: { show: false }, padding: [8, 8, 0, 0],
      cursor: { y: false, drag: { x: false, y: false, setScale: false }, points: { size: 7, width: 1.5, fill: () => ink("paper"), stroke: () => ink("accent") } },
      scales: { x: { time: false } },
      axes: [{ ...axis, size: 24, values }, { ...axis, size: 46, values }],
      series: [{}, ...curve.lines.map((_, i) => ({ label: names[i], stroke: ink("ink"), width: i ? 1.4 : 2, dash: DASHES[i], pxAlign: 0, points: { show: false } }))],
      hooks: { setCursor: [(/** @type {any} */ p) => setAt(p.cursor.idx === null || p.cursor.left < 0 ? null : p.data[0][p.cursor.idx])] },
    }, /** @type {any} */ (columns(curve)), box);
    const watch = new ResizeObserver(() => box.clientWidth && plot.setSize({ width: box.clientWidth, height: box.clientHeight }));
    watch.observe(box);
    return () => {
      watch.disconnect();
      plot.destroy();
    };
  }, [curve, theme]);
  if (!base) return html`<figure class="chart"><figcaption><b>${curve.label}</b></figcaption><p class="plot none">None of these has this curve.</p></figure>`;
  const read = (/** @type {KeyboardEvent} */ event) => {
    const here = at === null ? -1 : nearest(base.x, at);
    const last = base.x.length - 1;
    const step = event.shiftKey ? 10 : 1;
    const to = { ArrowRight: Math.min(last, here + step), ArrowLeft: Math.max(0, here - step), Home: 0, End: last }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    setAt(base.x[to]);
  };
  const value = (/** @type {number} */ i, /** @type {number} */ x) => {
    const line = curve.lines[i];
    return line && line.x.length ? figure(line.y[nearest(line.x, x)], { ...curve, unit: "", now: null, before: null, band: null, trouble: "" }) : "–";
  };
  const rows = base.x.filter((_, i) => i % 5 === 0).map((x) => [x.toFixed(1), ...names.map((_, i) => value(i, x))]);
  return html`<figure class="chart" data-address=${curve.address}>
    <figcaption><b>${curve.label}</b>${curve.unit ? html` <span class="unit">${curve.unit}</span>` : ""}
      <output class="said">${at === null ? `over ${curve.along}, mm` : `at ${at.toFixed(0)} mm: ${names.map((_, i) => value(i, at)).join(", ")}`}</output></figcaption>
    <div class="plot" ref=${host} tabindex="0" role="group" aria-label=${`curves of ${curve.label}; left and right arrows read them`} onKeyDown=${read}></div>
    <details><summary>figures</summary><${Table} name=${curve.label} hide=${true} figures=${names.map((_, i) => i + 1)} head=${[`${curve.along} mm`, ...names]} rows=${rows} /></details>
  </figure>`;
}

/** The table over all of them. @param {{found: SideBySide}} props */
function Differences({ found }) {
  const names = found.builds.map((b) => called(b.of));
  const head = ["quantity", "brief", ...names.flatMap((name, i) => (i ? [name, `change in ${name}`, "felt steps", "verdict"] : [name, "verdict"]))];
  const rows = found.rows.map((row) => [
    row.label, row.band,
    ...row.builds.flatMap((cell, i) => {
      /** @type {Cell[]} */
      const value = [cell.waits ? { text: cell.waits, class: "waits" } : cell.text];
      const verdict = { text: cell.verdict, class: /^(low|high)/.test(cell.verdict) ? "missed" : "" };
      return i ? [...value, { text: cell.change_text, class: cell.felt ? "moved" : "" }, cell.steps_text.replace(/ steps$/, ""), verdict] : [...value, verdict];
    }),
  ]);
  const figures = head.map((_, i) => i).filter((i) => i > 1 && head[i] !== "verdict");
  if (!rows.length) return html`<p class="none">Nothing that a rider feels, or that the brief judges otherwise, differs between them.</p>`;
  return html`<${Table} name=${`what differs between ${names.join(", ")}`} hide=${true} head=${head} rows=${rows} figures=${figures} />`;
}

/** What was chosen, side by side. */
function Beside() {
  const asked = looking();
  for (const name of state.compare) asked.append("of", name);
  for (const key of recalled("curves", FEW_CURVES)) asked.append("key", key);
  /** @type {[SideBySide | null, string]} */
  const [found, trouble] = useDocument(`/shown/side-by-side.json?${asked}`);
  if (trouble) return html`<p class="none" role="status">${trouble}</p>`;
  if (!found) return html`<p class="none" role="status">On its way.</p>`;
  const names = found.builds.map((b) => called(b.of));
  return html`<section class="found" aria-label="side by side">
    <${Lines} found=${found} />
    <${Overlaid} found=${found} />
    <h2>What differs</h2>
    <${Differences} found=${found} />
    <div class="charts">${found.curves.map((curve) => html`<${Overlay} key=${curve.address} curve=${curve} names=${names} />`)}</div>
    <div class="pairs">${found.pairs.map((pair) => html`<section key=${`${pair.first}/${pair.second}`}><h2 class="size">From ${called(pair.first)} to ${called(pair.second)}</h2>
      <${Consequences} comparison=${pair.comparison} heading=${`from ${called(pair.first)} to ${called(pair.second)}`} /></section>`)}</div>
  </section>`;
}

/** One of them, or the files where it has no label. @param {{label: string, lines: string[]}} props */
function One({ label, lines }) {
  const { draft } = state;
  if (!draft) return null;
  const act = (/** @type {string} */ verb, /** @type {Record<string, string>} */ body) => () => {
    settle();
    order(verb, body);
  };
  const [base, pinned, of] = [draft.base === label, draft.pinned === (label || "files"), label || "the files"];
  return html`<article class="version"><h2>${of}</h2>
    <span class="acts"><button type="button" aria-label=${`open ${of}`} disabled=${base && !draft.dirty} onClick=${act("open", { version: label })}>open</button>
    <button type="button" aria-label=${`pin, to compare with ${of}`} disabled=${pinned} onClick=${act("pin", { to: label || "files" })}>pin</button></span>
    <p>${[base ? "the draft starts here" : "", pinned ? "pinned" : "", ...lines].filter(Boolean).join("; ")}</p></article>`;
}

/** Kept versions: opened, pinned, laid beside one another. */
export function Versions() {
  /** @type {[{versions: KeptVersion[]} | null, string]} */
  const [found, trouble] = useDocument(`/versions.json?${looking()}`);
  const { draft } = state;
  if (!found || !draft) return html`<${Waiting} trouble=${trouble} />`;
  const list = html`<p class="none">Each is a file of its own that is never changed. Opening one is a step that undo takes back. What follows on the other sheets is told against what is pinned.</p>
      <${One} label="" lines=${[]} />
      ${found.versions.slice().reverse().map((v) => html`<${One} key=${v.label} label=${v.label}
        lines=${v.trouble ? [v.trouble] : [`${v.build}, size ${v.size}`, `kept ${v.kept}`, `made from ${v.parent || "the files"}`, v.note]} />`)}`;
  const beside = state.compare.length > 1;
  return html`<div class=${beside ? "whole" : "split"}><div class="room"><h1>Kept versions</h1>
      <h2>Side by side</h2>
      <${Chosen} versions=${found.versions} />
      ${beside && html`<${Beside} key=${state.compare.join()} />`}
      ${beside && html`<h2>All kept versions</h2>`}
      ${list}
    </div>${beside ? "" : html`<${Change} />`}</div>`;
}
