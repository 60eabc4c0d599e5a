// Charts of any lines over any axis, as reports/chart_data.py sends them: the line's dash tells whose it is, as on paper.

import { circle, line, paint, path, svg, text } from "./pen.js";
import { html, useEffect, useRef } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").PlainChart} PlainChart */
/** @typedef {import("./types.js").PlainMarks} PlainMarks */
/** @typedef {import("./pen.js").Point} Point */

const [LEFT, RIGHT, TOP, BELOW, TICK] = [46, 12, 10, 40, 4];
const [NEAR, APART] = [7, 14];

/** Runs of points without gaps. @param {(number | null)[]} xs @param {(number | null)[]} ys @param {(x: number, y: number) => Point} at @returns {Point[][]} */
function runs(xs, ys, at) {
  /** @type {Point[][]} */
  const found = [[]];
  xs.forEach((x, i) => {
    const y = ys[i];
    if (x === null || y === null) found.push([]);
    else found[found.length - 1].push(at(x, y));
  });
  return found.filter((run) => run.length > 1);
}

/** What a mark of each style looks like, around a place. @type {Record<string, (x: number, y: number) => string>} */
const MARKS = {
  kept: (x, y) => `M${x - 3.5} ${y}h7M${x} ${y - 3.5}v7`,
  returned: (x, y) => `M${x - 3.5} ${y - 3.5}l7 7M${x - 3.5} ${y + 3.5}l7 -7`,
  unsaid: (x, y) => `M${x - 2.5} ${y}l2.5 -2.5l2.5 2.5l-2.5 2.5z`,
};

/** Draw a chart into its place. @param {HTMLElement & {parts?: any}} host @param {PlainChart} chart @param {PlainMarks | null} given @param {string} spoken */
function draw(host, chart, given, spoken) {
  const [width, height] = [host.clientWidth, host.clientHeight];
  if (!width || !height) return;
  if (!host.parts) {
    const whole = svg("svg", { class: "plain", role: "img" }, host);
    const title = svg("title", {}, whole);
    // what leaves the axes is cut off at them
    const window = svg("svg", {}, whole);
    host.parts = { whole, title, axes: svg("g", {}, whole), window, lines: svg("g", {}, window), marks: svg("g", {}, whole) };
    whole.insertBefore(host.parts.axes, window);
  }
  const { whole, title, axes, window, lines, marks } = host.parts;
  const [w, h] = [width - LEFT - RIGHT, height - TOP - BELOW];
  whole.setAttribute("viewBox", `0 0 ${width} ${height}`);
  title.textContent = spoken;
  for (const [name, value] of Object.entries({ x: LEFT, y: TOP, width: w, height: h })) window.setAttribute(name, value);
  const across = (/** @type {number} */ x) => (w * (x - chart.x.low)) / (chart.x.high - chart.x.low);
  const down = (/** @type {number} */ y) => h - (h * (y - chart.y.low)) / (chart.y.high - chart.y.low);
  paint(axes, [
    ...chart.x.ticks.flatMap(({ at, text: said }) => [line([LEFT + across(at), TOP], [LEFT + across(at), TOP + h + TICK], "grid"), text([LEFT + across(at), TOP + h + 17], said, "tick-text")]),
    ...chart.y.ticks.flatMap(({ at, text: said }) => [line([LEFT - TICK, TOP + down(at)], [LEFT + w, TOP + down(at)], "grid"), text([LEFT - 7, TOP + down(at) + 4], said, "tick-text", "end")]),
    path([[LEFT, TOP], [LEFT, TOP + h], [LEFT + w, TOP + h]], "thin"),
    text([LEFT + w, height - 6], chart.x.label, "tick-text", "end"),
    text([LEFT + 6, TOP + 11], chart.y.label, "tick-text", "start"),
  ]);
  const round = (/** @type {number} */ v) => Math.round(v * 10) / 10;
  const marked = Object.keys(MARKS).map((style) => ({ d: given ? given.points.filter((p) => p.style === style).map((p) => MARKS[style](round(across(p.x)), round(down(p.y)))).join("") : "", c: `mark-${style}` }));
  paint(lines, [...chart.lines.flatMap((one) => runs(one.x, one.y, (x, y) => [across(x), down(y)]).map((run) => path(run, `line-${one.style}`))), ...marked.filter(({ d }) => d)]);
  /** @type {Point[]} */
  const said = [];
  paint(marks, chart.markers.flatMap((marker) => {
    const at = /** @type {Point} */ ([LEFT + across(marker.x), TOP + down(marker.y)]);
    const place = /** @type {Point} */ ([at[0] + NEAR, at[1] + APART]);
    while (said.some((other) => Math.abs(other[0] - place[0]) < 2 * APART && Math.abs(other[1] - place[1]) < APART)) place[1] += APART;
    said.push(place);
    return [circle(at, 3.2, "dot"), text(place, marker.text, "", "start")];
  }));
}

/** A chart with its key and what is noted below it. @param {{chart: PlainChart, name: string, marks?: PlainMarks | null}} props */
export function Plotted({ chart, name, marks = null }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const shown = useRef({ chart, marks });
  shown.current = { chart, marks };
  const spoken = `${chart.title}: ${chart.y.label} over ${chart.x.label}; ${chart.lines.map((l) => l.name).join(", ")}`;
  useEffect(() => {
    if (host.current) draw(host.current, chart, marks, spoken);
  }, [chart, marks]);
  useEffect(() => {
    const watched = host.current;
    if (!watched) return undefined;
    const observer = new ResizeObserver(() => draw(watched, shown.current.chart, shown.current.marks, spoken));
    observer.observe(watched);
    return () => observer.disconnect();
  }, []);
  return html`<figure class="plain-chart" aria-label=${name}><div class="plain-plot" ref=${host}></div>
    <ul class="key" aria-label="lines">${chart.lines.map((one) => html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class=${`line-${one.style}`} d="M0 4H30" /></svg> ${one.name}</li>`)}
      ${marks && marks.key.map(([style, words]) => html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class=${`mark-${style}`} d=${MARKS[style](15, 4)} /></svg> ${words}</li>`)}</ul>
    ${chart.notes.map((note) => html`<p class="none">${note}</p>`)}</figure>`;
}
