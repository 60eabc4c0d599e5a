// What hands on the drawing change: each point with the addresses that place it, and drags turned into changes.

import { attempt, make, show } from "./link.js";
import { set, state } from "./store.js";
import { unit } from "./symbols.js";

/** @typedef {import("./pen.js").Point} Point */
/** @typedef {import("./symbols.js").Pose} Pose */
/** @typedef {import("./types.js").Screen} Screen */
/**
 * @typedef {object} Grip a point that can be moved, with what moves
 * @property {string} name
 * @property {string} label
 * @property {Point} at millimetres on the ground
 * @property {(by: Point) => [string, number][]} parts addresses and steps for a way in frame axes
 * @property {[string, string][]} fields addresses that can be typed, each with its short name
 */

const REST_MS = 350;

/** How far the frame is turned nose up in the pose shown [rad]: from two pins of the frame, or from the head tube. @param {Screen} screen @returns {number} */
function pitch(screen) {
  const { pose } = screen;
  if (!pose) return 0;
  const held = screen.pin_places.filter((p) => p.joins.includes("frame") && pose.pins[p.name]);
  let [a, b] = /** @type {[Point, Point]} */ ([[0, 0], [0, 0]]);
  let [ga, gb] = [a, b];
  if (held.length > 1) {
    let far = -1;
    for (const p of held) {
      for (const q of held) {
        const apart = Math.hypot(q.x - p.x, q.z - p.z);
        if (apart > far) [far, a, b, ga, gb] = [apart, [p.x, p.z], [q.x, q.z], pose.pins[p.name], pose.pins[q.name]];
      }
    }
  } else {
    const size = state.model && state.model.frame.sizes[screen.build.size];
    if (!size) return 0;
    [b, ga, gb] = [[size.reach_mm, size.stack_mm], pose.bb, pose.head_upper];
  }
  return Math.atan2(gb[1] - ga[1], gb[0] - ga[0]) - Math.atan2(b[1] - a[1], b[0] - a[0]);
}

/** The value at an address, as far as the page was told it. @param {string} address @returns {any} */
export function valueAt(address) {
  const { screen, model } = state;
  for (const pin of (screen && screen.pin_places) || []) {
    if (pin.x_address === address) return pin.x;
    if (pin.z_address === address) return pin.z;
  }
  if (!model) return null;
  const steps = address.split(".");
  /** @type {any} */
  let place = steps.length === 1 && !(address in model) ? model.settings : steps[0] in model ? model : model.parts && steps[0] in model.parts ? model.parts : model.frame;
  for (const step of steps) place = place === null || place === undefined ? null : place[step];
  return place === undefined || place === "unknown" ? null : place;
}

/** A way on the ground as a way in frame axes. @param {Screen | null} screen @param {Point} by @returns {Point} */
function inFrame(screen, by) {
  const angle = screen ? pitch(screen) : 0;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [c * by[0] + s * by[1], -s * by[0] + c * by[1]];
}

/** @param {number} step @returns {string} */
const signed = (step) => `${step < 0 ? "-=" : "+="}${Math.round(Math.abs(step) * 100) / 100}`;

/**
 * Every point of a pose that a hand may move.
 * @param {Screen | null} screen
 * @returns {Grip[]}
 */
export function grips(screen) {
  /** @type {Pose | null} */
  const pose = screen && screen.pose;
  if (!pose) return [];
  const size = `sizes.${screen.build.size}`;
  /** @type {Grip[]} */
  const found = [];
  for (const pin of screen.pin_places) {
    const at = pose.pins[pin.name];
    if (!at) continue;
    found.push({
      name: `pin ${pin.name}`,
      label: `pin ${pin.name}`.replace(/_/g, " "),
      at,
      parts: (by) => [[pin.x_address, by[0]], [pin.z_address, by[1]]],
      fields: [["x", pin.x_address], ["z", pin.z_address]],
    });
  }
  if (!pose.bodies.length) {
    const back = unit(pose.bb, pose.rear_axle);
    found.push({
      name: "rear axle",
      label: "rear axle",
      at: pose.rear_axle,
      parts: (by) => [[`${size}.rear_centre_mm`, by[0] * back[0] + by[1] * back[1]], [`${size}.bb_drop_mm`, by[1]]],
      fields: [["rear centre", `${size}.rear_centre_mm`], ["drop", `${size}.bb_drop_mm`]],
    });
    found.push({
      name: "bottom bracket",
      label: "bottom bracket",
      at: pose.bb,
      parts: (by) => [[`${size}.bb_drop_mm`, -by[1]]],
      fields: [["drop", `${size}.bb_drop_mm`]],
    });
  }
  found.push({
    name: "head tube",
    label: "head tube, upper end",
    at: pose.head_upper,
    parts: (by) => [[`${size}.reach_mm`, by[0]], [`${size}.stack_mm`, by[1]]],
    fields: [["reach", `${size}.reach_mm`], ["stack", `${size}.stack_mm`], ["head angle", `${size}.head_angle_deg`]],
  });
  const seat = pose.seat_axis;
  if (pose.saddle && seat) {
    const up = unit(seat[0], seat[1]);
    found.push({
      name: "saddle",
      label: "saddle",
      at: pose.saddle,
      parts: (by) => [["saddle_height_mm", by[0] * up[0] + by[1] * up[1]]],
      fields: [["height", "saddle_height_mm"]],
    });
  }
  return found;
}

/** @param {string} name @param {Point} by in frame axes @returns {string[]} */
function changes(name, by) {
  const grip = grips(state.screen).find((g) => g.name === name);
  if (!grip) return [];
  return grip.parts(by).filter(([, step]) => Math.abs(step) >= 0.005).map(([address, step]) => address + signed(step));
}

/** @type {{name: string, by: Point, timer: number} | null} steps by keys that are not made yet */
let steps = null;

/** Make the steps that keys have added up to. */
export function settle() {
  if (!steps) return;
  clearTimeout(steps.timer);
  const told = changes(steps.name, steps.by);
  steps = null;
  if (told.length) make(told, true);
}

/** @type {import("./drawing.js").Hands} */
export const hands = {
  choose(name) {
    if (steps && steps.name !== name) settle();
    if (state.chosen !== name) set({ chosen: name });
  },
  drag(name, by) {
    settle();
    if (state.scrub !== null) set({ scrub: null });
    const told = changes(name, inFrame(state.screen, by));
    // said once: every word of it would have the whole page drawn again
    if (!state.trying) set({ trying: true });
    if (told.length) attempt(told);
    else show();
  },
  drop(name, by) {
    const told = changes(name, inFrame(state.screen, by));
    set({ trying: false });
    if (told.length) make(told, true);
    else show();
  },
  abandon() {
    set({ trying: false });
    show();
  },
  nudge(name, by) {
    if (state.scrub !== null) set({ scrub: null });
    if (steps && steps.name !== name) settle();
    const sum = /** @type {Point} */ (steps ? [steps.by[0] + by[0], steps.by[1] + by[1]] : by);
    if (steps) clearTimeout(steps.timer);
    steps = { name, by: sum, timer: setTimeout(settle, REST_MS) };
    const told = changes(name, sum);
    if (told.length) attempt(told);
  },
};
