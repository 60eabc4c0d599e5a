// Curves over the travel: the draft full, the pinned build dashed, the brief's band hatched; all read at one travel.

/* global uPlot: it comes as a plain script */
/** @type {any} */
const Plot = uPlot;

/**
 * @typedef {object} ShownCurve as reports/screen.py writes it
 * @property {string} address
 * @property {string} label
 * @property {string} unit
 * @property {number} decimals
 * @property {string} along
 * @property {{x: number[], y: (number | null)[], gap: string} | null} now
 * @property {{x: number[], y: (number | null)[], gap: string} | null} before
 * @property {{low: number | null, high: number | null} | null} band
 * @property {string} trouble
 */

/** @param {number | null | undefined} value @param {ShownCurve} curve @returns {string} */
export function figure(value, curve) {
  if (value === null || value === undefined) return "–";
  const rounded = value.toFixed(curve.decimals);
  const plain = /^-0(\.0*)?$/.test(rounded) ? rounded.slice(1) : rounded;
  const unit = curve.unit === "°" || curve.unit === "%" || !curve.unit ? curve.unit : " " + curve.unit;
  return plain.replace("-", "−") + (curve.unit === "%" ? " %" : unit);
}

/** @type {Record<string, string>} */
let ink = {};

/** Read the tones of the sheet anew, as after a change of theme. */
export function readTones() {
  const style = getComputedStyle(document.documentElement);
  ink = Object.fromEntries(["ink", "muted", "pale", "accent", "paper"].map((tone) => [tone, style.getPropertyValue("--" + tone).trim()]));
}

/** Hatch the brief's band. @param {any} plot @param {ShownCurve} curve */
function hatch(plot, curve) {
  const band = curve.band;
  if (!band) return;
  const { left, top, width, height } = plot.bbox;
  const context = plot.ctx;
  const y = (/** @type {number | null} */ v, /** @type {number} */ open) =>
    v === null ? open : Math.min(top + height, Math.max(top, plot.valToPos(v, "y", true)));
  const [high, low] = [y(band.high, top), y(band.low, top + height)];
  context.save();
  context.beginPath();
  context.rect(left, high, width, low - high);
  context.clip();
  context.beginPath();
  const gap = 9 * devicePixelRatio;
  for (let x = left - (low - high); x < left + width; x += gap) {
    context.moveTo(x, low);
    context.lineTo(x + (low - high), high);
  }
  context.strokeStyle = ink.pale;
  context.lineWidth = devicePixelRatio;
  context.stroke();
  context.restore();
  context.save();
  context.strokeStyle = ink.muted;
  context.lineWidth = devicePixelRatio;
  context.setLineDash([2 * devicePixelRatio, 3 * devicePixelRatio]);
  context.beginPath();
  for (const [edge, at] of [[band.high, high], [band.low, low]]) {
    if (edge === null) continue;
    context.moveTo(left, at);
    context.lineTo(left + width, at);
  }
  context.stroke();
  context.restore();
}

/** @param {ShownCurve} curve @returns {any[]} x, now, before: on one axis */
function columns(curve) {
  const { now, before } = curve;
  if (!now && !before) return [[], [], []];
  if (now && !before) return [now.x, now.y, now.y.map(() => null)];
  if (!now && before) return [before.x, before.y.map(() => null), before.y];
  const [n, b] = [/** @type {any} */ (now), /** @type {any} */ (before)];
  if (n.x.length === b.x.length && n.x.every((/** @type {number} */ x, /** @type {number} */ i) => x === b.x[i])) return [n.x, n.y, b.y];
  return Plot.join([[n.x, n.y], [b.x, b.y]]);
}

/** @param {ShownCurve} curve @param {number} low @param {number} high @returns {[number, number]} */
function range(curve, low, high) {
  const band = curve.band;
  for (const edge of band ? [band.low, band.high] : []) {
    if (edge === null) continue;
    low = Math.min(low, edge);
    high = Math.max(high, edge);
  }
  const least = 10 ** -curve.decimals * 4;
  const pad = Math.max((high - low) * 0.08, least / 2);
  return [low - pad, high + pad];
}

export class Chart {
  /**
   * @param {HTMLElement} host
   * @param {ShownCurve} curve
   * @param {(x: number | null) => void} read told where a hand reads, in millimetres of travel
   */
  constructor(host, curve, read) {
    this.host = host;
    this.curve = curve;
    this.read = read;
    this.quiet = false;
    this.observer = new ResizeObserver(() => this.fit());
    this.build();
    this.observer.observe(host);
    // a thumb that is drawn along the curve reads it; up and down it scrolls the page
    host.addEventListener("pointermove", (event) => event.pointerType === "touch" && this.touch(event));
    host.addEventListener("pointerdown", (event) => event.pointerType === "touch" && this.touch(event));
  }

  build() {
    const axis = {
      stroke: ink.muted,
      font: "12px Source Sans 3, Source Sans Pro, Liberation Sans, Arial, sans-serif",
      grid: { stroke: ink.pale, width: 1 },
      ticks: { stroke: ink.pale, width: 1, size: 4 },
      gap: 4,
    };
    const values = (/** @type {any} */ _, /** @type {number[]} */ splits) => splits.map((v) => String(Math.round(v * 1e6) / 1e6).replace("-", "−"));
    const options = {
      width: Math.max(this.host.clientWidth, 120),
      height: Math.max(this.host.clientHeight, 90),
      pxAlign: 0,
      legend: { show: false },
      padding: [8, 8, 0, 0],
      cursor: {
        y: false,
        drag: { x: false, y: false, setScale: false },
        points: { size: 7, width: 1.5, fill: () => ink.paper, stroke: () => ink.accent },
      },
      scales: {
        x: { time: false },
        y: { range: (/** @type {any} */ _, /** @type {number} */ low, /** @type {number} */ high) => (low === null ? [0, 1] : range(this.curve, low, high)) },
      },
      axes: [{ ...axis, size: 24, values }, { ...axis, size: 46, values }],
      series: [
        {},
        { label: "now", stroke: ink.ink, width: 2, pxAlign: 0, points: { show: false } },
        { label: "pinned", stroke: ink.ink, width: 1.3, dash: [8, 4], pxAlign: 0, points: { show: false } },
      ],
      hooks: {
        drawAxes: [(/** @type {any} */ plot) => hatch(plot, this.curve)],
        setCursor: [(/** @type {any} */ plot) => {
          if (this.quiet) return;
          const { left, idx } = plot.cursor;
          this.read(left === null || left < 0 || idx === null ? null : plot.data[0][idx]);
        }],
      },
    };
    this.plot = new Plot(options, columns(this.curve), this.host);
  }

  /** @param {PointerEvent} event */
  touch(event) {
    const xs = this.plot.data[0];
    if (!xs.length) return;
    const at = this.plot.posToVal(event.clientX - this.plot.over.getBoundingClientRect().left, "x");
    this.read(xs[nearest(xs, at)]);
  }

  fit() {
    const [width, height] = [this.host.clientWidth, this.host.clientHeight];
    if (width && height && (width !== this.plot.width || height !== this.plot.height)) this.plot.setSize({ width, height });
  }

  /** @param {ShownCurve} curve */
  show(curve) {
    if (curve === this.curve) return;
    this.curve = curve;
    this.plot.setData(columns(curve));
  }

  /** Put the reading line at a travel, or take it away. @param {number | null} x */
  point(x) {
    this.quiet = true;
    // a plot that was not laid out yet, as one just made, has no place for it
    const left = x === null || this.plot.scales.x.min === null ? -10 : this.plot.valToPos(x, "x");
    if (Math.abs((this.plot.cursor.left ?? -10) - left) > 0.25) this.plot.setCursor({ left, top: x === null ? -10 : 10 });
    this.quiet = false;
  }

  retone() {
    this.plot.destroy();
    this.build();
  }

  end() {
    this.observer.disconnect();
    this.plot.destroy();
  }
}

/** The row of a curve nearest to a travel. @param {number[]} xs @param {number} x @returns {number} */
export function nearest(xs, x) {
  let best = 0;
  for (let i = 1; i < xs.length; i += 1) if (Math.abs(xs[i] - x) < Math.abs(xs[best] - x)) best = i;
  return best;
}
