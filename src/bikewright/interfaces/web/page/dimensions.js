// Dimension lines on the screen: extension lines, arrowheads and the number above the line, as on a workshop drawing.
// Places are given in screen points; the texts come from the server.

import { line, path, text } from "./pen.js";
import { dist, foot, plus, unit } from "./symbols.js";

/** @typedef {import("./pen.js").Point} Point */
/** @typedef {import("./pen.js").Shape} Shape */
/** @typedef {import("./symbols.js").Pose} Pose */

const ARROW = 9;
const LETTER = 6.4;

/** @type {(tip: Point, along: Point) => Shape} a filled arrowhead whose tip is at `tip`, pointing along */
function arrow(tip, along) {
  const back = plus(tip, along, -ARROW);
  /** @type {Point} */
  const side = [-along[1], along[0]];
  return path([tip, plus(back, side, 1.8), plus(back, side, -1.8)], "arrow", true);
}

/** Points along the texts that stand already: no other text may come near them. @type {Point[]} */
let taken = [];

/** @param {Point} middle @param {Point} along @param {number} length @returns {Point[]} */
function under(middle, along, length) {
  /** @type {Point[]} */
  const points = [];
  for (let s = -length / 2; s <= length / 2; s += 9) points.push(plus(middle, along, s));
  return points;
}

/** @param {Point[]} points @returns {number} how many of them lie on texts that stand already */
const hits = (points) => points.filter((p) => taken.some((t) => dist(p, t) < 14)).length;

/**
 * A straight dimension from a to b, its line through `at`, along `u`.
 * @param {Point} a @param {Point} b @param {Point} at @param {Point} u
 * @param {string[]} texts the number with its word and its change, with its word, alone @param {boolean} moved
 * @returns {Shape[]}
 */
function straight(a, b, at, u, texts, moved) {
  const on = (/** @type {Point} */ p) => foot(p, at, plus(at, u));
  let [from, to] = [on(a), on(b)];
  if (to[0] < from[0] - 0.01 || (Math.abs(to[0] - from[0]) <= 0.01 && to[1] > from[1])) [from, to] = [to, from];
  const along = unit(from, to);
  const length = dist(from, to);
  /** @type {Shape[]} */
  const shapes = [];
  for (const p of [a, b]) {
    const end = on(p);
    const far = dist(p, end);
    if (far > 3) {
      const out = unit(p, end);
      shapes.push(line(plus(p, out, Math.min(3, far)), plus(end, out, 4), "dim"));
    }
  }
  const inside = length > 2 * ARROW + 4;
  shapes.push(line(inside ? from : plus(from, along, -16), inside ? to : plus(to, along, 16), "dim"));
  shapes.push(arrow(from, inside ? [-along[0], -along[1]] : along), arrow(to, inside ? along : [-along[0], -along[1]]));
  // the change is left out where it has no room, then the word; a number that has none either stands beyond an end
  const half = (/** @type {string} */ t) => (t.length * LETTER) / 2 + 4;
  const fitting = texts.filter((t) => length > 2 * half(t));
  const fits = fitting.length > 0;
  const inPlace = (/** @type {string} */ t) => [0.5, 0.35, 0.65, 0.22, 0.78].map((s) => Math.min(length - half(t), Math.max(half(t), s * length)));
  const beyond = [length + 20 + half(texts[1]), -20 - half(texts[1])];
  const tries = fits ? fitting.flatMap((t) => inPlace(t).map((s) => ({ t, s }))) : beyond.map((s) => ({ t: texts[1], s }));
  /** @type {Point} */
  const up = [along[1], -along[0]];
  const above = /** @type {Point} */ (up[1] > 0 || (up[1] === 0 && up[0] > 0) ? [-up[0], -up[1]] : up);
  const run = (/** @type {{t: string, s: number}} */ { t, s }) => under(plus(plus(from, along, s), above, 9), along, t.length * LETTER);
  let best = tries[0];
  let least = Infinity;
  for (const tried of tries) {
    const count = hits(run(tried));
    if (count < least) [best, least] = [tried, count];
  }
  taken.push(...run(best));
  const angle = (Math.atan2(along[1], along[0]) * 180) / Math.PI;
  if (!fits) shapes.push(line(plus(from, along, best.s > 0 ? length + 16 : -16), plus(from, along, best.s > 0 ? best.s + half(best.t) : best.s - half(best.t)), "dim"));
  shapes.push(text(plus(plus(from, along, best.s), above, 5), best.t, moved ? "dimtext moved" : "dimtext", "middle", angle));
  return shapes;
}

/**
 * The angle behind an axis at the ground.
 * @param {Point} low @param {Point} high @param {number} ground screen height of the ground @param {number} radius
 * @param {string[]} texts @param {boolean} moved @param {number} wide width of the drawing
 * @returns {Shape[]}
 */
function angleAtGround(low, high, ground, radius, texts, moved, wide) {
  const u = unit(low, high);
  if (Math.abs(u[1]) < 1e-6) return [];
  const vertex = plus(low, u, (ground - low[1]) / u[1]);
  const end = plus(vertex, u, radius);
  /** @type {Point} */
  const back = [vertex[0] - radius, vertex[1]];
  const run = (/** @type {string} */ t) => under([vertex[0], ground + 18], [1, 0], t.length * LETTER);
  const shown = texts.find((t) => !hits(run(t)) && run(t).every(([x]) => x > 4 && x < wide - 4)) || texts[1];
  taken.push(...run(shown));
  return [
    line(vertex, plus(vertex, u, radius + 8), "centre"),
    { d: `M${back[0].toFixed(1)} ${back[1].toFixed(1)}A${radius} ${radius} 0 0 1 ${end[0].toFixed(1)} ${end[1].toFixed(1)}`, c: "dim" },
    arrow(back, [0.12, 0.99]),
    arrow(end, [-u[1] * -1 * 0.99, u[0] * -1 * 0.99]),
    text([vertex[0], ground + 22], shown, moved ? "dimtext moved" : "dimtext"),
  ];
}

/**
 * The usual dimensions of a side view, for the values that are known.
 * @param {Pose} pose
 * @param {Map<string, {text: string, more: string}>} values by the key of the catalogue
 * @param {(p: Point) => Point} place from millimetres to the screen
 * @param {number} wide width of the drawing
 * @returns {Shape[]}
 */
export function dimensions(pose, values, place, wide) {
  /** @type {Shape[]} */
  const shapes = [];
  taken = [];
  const [bb, rear, front, upper] = [pose.bb, pose.rear_axle, pose.front_axle, pose.steerer_top].map(place);
  const ground = place([pose.bb[0], 0]);
  const level = /** @type {Point} */ ([1, 0]);
  const upright = /** @type {Point} */ ([0, -1]);
  const add = (/** @type {string} */ key, /** @type {string} */ word, /** @type {(t: string[], m: boolean) => Shape[]} */ draw) => {
    const value = values.get(key);
    if (!value) return;
    const texts = [`${word} ${value.text} ${value.more}`.trim(), `${word} ${value.text}`, value.text];
    shapes.push(...draw(texts, value.more !== ""));
  };
  const low = dist(place([0, 0]), place([0, 0.42 * pose.rear_radius]));
  const clear = dist(place([0, 0]), place([(pose.crank_mm || 100) + 75, 0]));
  add("wheelbase_mm", "wheelbase", (t, m) => straight(place([pose.rear_axle[0], 0]), place([pose.front_axle[0], 0]), [bb[0], ground[1] + 47], level, t, m));
  add("bb_height_mm", "BB", (t, m) => straight(ground, bb, [bb[0] + clear, bb[1]], upright, t, m));
  add("rear_centre_mm", "rear centre", (t, m) => straight(rear, bb, [rear[0], rear[1] + low], unit(rear, bb), t, m));
  add("front_centre_mm", "front centre", (t, m) => straight(bb, front, [bb[0], bb[1] + low], unit(bb, front), t, m));
  add("reach_mm", "reach", (t, m) => straight(bb, upper, upper, level, t, m));
  add("stack_mm", "stack", (t, m) => straight(bb, upper, bb, upright, t, m));
  add("head_angle_deg", "head angle", (t, m) => angleAtGround(place(pose.crown), place(pose.steerer_top), ground[1], 0.45 * dist(bb, front), t, m, wide));
  if (pose.seat_axis) {
    const seat = pose.seat_axis;
    add("seat_tube_angle_deg", "seat tube", (t, m) => angleAtGround(place(seat[0]), place(seat[1]), ground[1], 0.3 * dist(bb, front), t, m, wide));
  }
  return shapes;
}
