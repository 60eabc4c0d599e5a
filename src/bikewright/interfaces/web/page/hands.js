// What hands on the drawing change: each point with the addresses that place it, and drags turned into changes.

import { attempt, make, show } from "./link.js";
import { set, state } from "./store.js";
import { unit } from "./symbols.js";

/** @typedef {import("./pen.js").Point} Point */
/** @typedef {import("./symbols.js").Pose} Pose */
/**
 * @typedef {object} Grip a point that can be moved, with what moves
 * @property {string} name
 * @property {string} label
 * @property {Point} at millimetres on the ground
 * @property {(by: Point) => [string, number][]} parts addresses and steps for a way in frame axes
 * @property {[string, string][]} fields addresses that can be typed, each with its short name
 */

const REST_MS = 350;

/** How far the frame is turned nose up in the pose shown [rad]. @param {any} screen @returns {number} */
export function pitch(screen) {
  return ((screen.pitch_deg || 0) * Math.PI) / 180;
}

/** A way on the ground as a way in frame axes. @param {any} screen @param {Point} by @returns {Point} */
function inFrame(screen, by) {
  const angle = pitch(screen);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [c * by[0] + s * by[1], -s * by[0] + c * by[1]];
}

/** @param {number} step @returns {string} */
const signed = (step) => `${step < 0 ? "-=" : "+="}${Math.round(Math.abs(step) * 100) / 100}`;

/**
 * Every point of a pose that a hand may move.
 * @param {any} screen
 * @returns {Grip[]}
 */
export function grips(screen) {
  /** @type {Pose | null} */
  const pose = screen && screen.pose;
  if (!pose) return [];
  const size = `sizes.${screen.build.size}`;
  /** @type {Grip[]} */
  const found = [];
  for (const [pin, at] of Object.entries(pose.pins)) {
    const place = `linkage.pins.${pin}`;
    found.push({
      name: `pin ${pin}`,
      label: `pin ${pin}`.replace(/_/g, " "),
      at,
      parts: (by) => [[`${place}.x_mm`, by[0]], [`${place}.z_mm`, by[1]]],
      fields: [["x", `${place}.x_mm`], ["z", `${place}.z_mm`]],
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
  if (told.length) make(told);
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
    set({ trying: true });
    if (told.length) attempt(told);
    else show();
  },
  drop(name, by) {
    const told = changes(name, inFrame(state.screen, by));
    set({ trying: false });
    if (told.length) make(told);
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
