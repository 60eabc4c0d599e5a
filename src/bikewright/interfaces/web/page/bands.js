// Bands of stature as two rows of bars, old sizes above and new ones below, and between them who goes where.
//
// Old bars have a dashed outline and hatching that rises, new ones a full outline and hatching that falls; a span that
// loses its size is crossed. Tone is never the only sign.

import { line, paint, path, svg, text } from "./pen.js";
import { html, useEffect, useRef } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").RangeBars} RangeBars */
/** @typedef {import("./pen.js").Shape} Shape */

const [SIDE, HEAD, LANE, BAR, GAP, AXIS] = [14, 20, 24, 19, 12, 40];
const [STRIP, SAID, LETTER] = [12, 17, 7.2];
const [SPARSE, DENSE] = [9, 6];

/**
 * Strokes at 45 degrees inside a rectangle, as one path.
 * @param {number} left @param {number} top @param {number} right @param {number} bottom @param {number} apart @param {boolean} rises @param {string} cls
 */
function hatch(left, top, right, bottom, apart, rises, cls) {
  const height = bottom - top;
  let d = "";
  for (let x = left - height + apart / 2; x < right; x += apart) {
    const [from, to] = [Math.max(x, left), Math.min(x + height, right)];
    if (to <= from) continue;
    const y = (/** @type {number} */ at) => (rises ? bottom - (at - x) : top + (at - x)).toFixed(1);
    d += `M${from.toFixed(1)} ${y(from)}L${to.toFixed(1)} ${y(to)}`;
  }
  return { d, c: cls };
}

/** @param {number} left @param {number} top @param {number} right @param {number} bottom @param {string} cls */
const box = (left, top, right, bottom, cls) => path([[left, top], [right, top], [right, bottom], [left, bottom]], cls, true);

/** Draw bars into their place. @param {HTMLElement & {parts?: any}} host @param {RangeBars} bars */
function draw(host, bars) {
  const width = host.clientWidth;
  if (!width) return;
  if (!host.parts) {
    const whole = svg("svg", { class: "bands", role: "img" }, host);
    host.parts = { whole, title: svg("title", {}, whole), shapes: svg("g", {}, whole) };
  }
  const { whole, title, shapes } = host.parts;
  const { axis, rows, moves } = bars;
  const at = (/** @type {number} */ x) => SIDE + ((width - 2 * SIDE) * (x - axis.low)) / (axis.high - axis.low);
  /** @type {Shape[]} */
  const found = [];
  let y = 4;
  const bar = (/** @type {RangeBars["rows"][number]} */ row, /** @type {boolean} */ old) => {
    found.push(text([SIDE, y + 13], row.bars.length ? row.name : `${row.name}: they fit nobody`, "", "start"));
    y += HEAD;
    for (const one of row.bars) {
      const [left, right, top] = [at(one.low), at(one.high), y + one.lane * LANE];
      found.push(hatch(left, top, right, top + BAR, old ? SPARSE : DENSE, old, "hatch"), box(left, top, right, top + BAR, old ? "line-second" : "outline"), text([(left + right) / 2, top + 14], one.text, "size"));
    }
    y += Math.max(row.lanes, 1) * LANE + GAP;
  };
  bar(rows[0], true);
  /** @type {number[]} */
  const ends = [];
  for (const move of moves) {
    const [left, right] = [at(move.low), at(move.high)];
    const [top, half] = [y, (move.text.length * LETTER) / 2 + 4];
    if (move.end === "loses") found.push(hatch(left, top, right, top + STRIP, DENSE, true, "lost"), hatch(left, top, right, top + STRIP, DENSE, false, "lost"), box(left, top, right, top + STRIP, "lost"));
    else found.push(line([left, top + STRIP / 2], [right, top + STRIP / 2], move.end === "wins" ? "line-ghost" : "thin"), line([left, top], [left, top + STRIP], "thin"), line([right, top], [right, top + STRIP], "thin"));
    const middle = Math.min(Math.max((left + right) / 2, half), width - half);
    let lane = ends.findIndex((end) => end <= middle - half);
    if (lane < 0) lane = ends.length;
    ends[lane] = middle + half;
    found.push(text([middle, top + STRIP + 14 + lane * SAID], move.text, move.end === "loses" ? "moved" : "said"));
  }
  y += STRIP + ends.length * SAID + GAP;
  bar(rows[1], false);
  const grid = axis.ticks.flatMap((tick) => [line([at(tick.at), 4], [at(tick.at), y + 4], "grid"), text([at(tick.at), y + 18], tick.text, "tick-text")]);
  const height = y + AXIS;
  whole.setAttribute("viewBox", `0 0 ${width} ${height}`);
  whole.setAttribute("height", height);
  title.textContent = bars.spoken;
  paint(shapes, [...grid, line([SIDE, y], [width - SIDE, y], "thin"), text([width - SIDE, y + 34], axis.label, "tick-text", "end"), ...found]);
}

/** The bars of men or of women. @param {{bars: RangeBars, name: string}} props */
export function Bands({ bars, name }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const shown = useRef(bars);
  shown.current = bars;
  useEffect(() => {
    if (host.current) draw(host.current, bars);
  }, [bars]);
  useEffect(() => {
    const watched = host.current;
    if (!watched) return undefined;
    const observer = new ResizeObserver(() => draw(watched, shown.current));
    observer.observe(watched);
    return () => observer.disconnect();
  }, []);
  return html`<figure class="plain-chart" aria-label=${name}><div class="bands-plot" ref=${host}></div></figure>`;
}
