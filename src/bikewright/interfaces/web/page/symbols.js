// The parts of a bike as they stand on the sheets: the strokes of reports/bike_symbols.py, for the screen.
//
// Points come from the pose. Thicknesses that no pose gives are usual proportions of the trade: there to be
// recognised, not measured.

import { circle, line, path } from "./pen.js";

/** @typedef {import("./pen.js").Point} Point */
/** @typedef {import("./pen.js").Shape} Shape */
/**
 * @typedef {object} Pose millimetres in ground axes
 * @property {string} title
 * @property {string} state
 * @property {[Point, Point]} ground
 * @property {Point} front_axle
 * @property {Point} rear_axle
 * @property {number} front_radius
 * @property {number} rear_radius
 * @property {Point} bb
 * @property {Point} crown
 * @property {Point} steerer_top
 * @property {Point} head_upper
 * @property {Point} head_lower
 * @property {Point | null} hand
 * @property {Point | null} stem_clamp
 * @property {Point | null} saddle
 * @property {[Point, Point] | null} seat_axis
 * @property {number | null} crank_mm
 * @property {number} crank_deg the near crank from level forward, up positive
 * @property {number | null} ring_radius_mm
 * @property {{name: string, kind: string, points: Point[]}[]} bodies
 * @property {Record<string, Point>} pins
 * @property {Point | null} instant_centre
 * @property {[string, Point[]][]} outlines
 * @property {Point[] | null} axle_path
 * @property {[string, [Point, Point]][]} rider segments by name; none where nobody rides
 */

/** @type {(a: Point, b: Point, t?: number) => Point} */
export const plus = (a, b, t = 1) => [a[0] + t * b[0], a[1] + t * b[1]];
/** @type {(a: Point, b: Point) => number} */
export const dist = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
/** @type {(a: Point, b: Point) => Point} unit vector; straight up where both are one point */
export const unit = (a, b) => {
  const length = dist(a, b);
  return length === 0 ? [0, 1] : [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
};
/** @type {(u: Point) => Point} */
const ahead = (u) => [u[1], -u[0]];
/** @type {(p: Point, a: Point, b: Point) => Point} nearest point on the line through a and b */
export const foot = (p, a, b) => {
  const u = unit(a, b);
  return plus(a, u, (p[0] - a[0]) * u[0] + (p[1] - a[1]) * u[1]);
};

const RIM = 0.86;
const ARC_STEPS = 8;
/** @type {Point[]} outline of a saddle round its sit point */
const SADDLE = [
  [150, -14], [146, -6], [120, -3], [70, -2], [10, 0], [-40, 4], [-80, 12], [-112, 20], [-122, 18], [-124, 4],
  [-112, -16], [-60, -26], [20, -22], [90, -20],
];

/** @type {(a: Point, b: Point, wa: number, wb?: number, cls?: string) => Shape} */
function tube(a, b, wa, wb = wa, cls = "thin fill") {
  const side = ahead(unit(a, b));
  return path([plus(a, side, wa / 2), plus(b, side, wb / 2), plus(b, side, -wb / 2), plus(a, side, -wa / 2)], cls, true);
}

/** @type {(points: Point[]) => Point[]} corners of the belt round points, anticlockwise */
function hull(points) {
  const sorted = points
    .map((p) => p)
    .sort((a, b) => a[0] - b[0] || a[1] - b[1])
    .filter((p, i, all) => !i || p[0] !== all[i - 1][0] || p[1] !== all[i - 1][1]);
  if (sorted.length < 3) return sorted;
  const turn = (/** @type {Point} */ a, /** @type {Point} */ b, /** @type {Point} */ p) =>
    (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
  /** @type {Point[]} */
  const corners = [];
  for (const run of [sorted, sorted.slice().reverse()]) {
    /** @type {Point[]} */
    const chain = [];
    for (const p of run) {
      while (chain.length > 1 && turn(chain[chain.length - 2], chain[chain.length - 1], p) <= 0) chain.pop();
      chain.push(p);
    }
    chain.pop();
    corners.push(...chain);
  }
  return corners;
}

/** @type {(points: Point[], radius: number, cls?: string) => Shape} a plate round points; a bar for two */
function rounded(points, radius, cls = "thin fill") {
  const corners = hull(points);
  /** @type {Point[]} */
  const outline = [];
  const heading = (/** @type {Point} */ a, /** @type {Point} */ b) => Math.atan2(b[1] - a[1], b[0] - a[0]);
  for (let i = 0; i < corners.length; i += 1) {
    const before = corners[(i + corners.length - 1) % corners.length];
    const corner = corners[i];
    const after = corners[(i + 1) % corners.length];
    const full = 2 * Math.PI;
    const start = heading(before, corner) - Math.PI / 2;
    const turn = corners.length > 1 ? (heading(corner, after) - heading(before, corner) + 2 * full) % full : full;
    const steps = Math.max(1, Math.ceil((turn / (Math.PI / 2)) * ARC_STEPS));
    for (let s = 0; s <= steps; s += 1) {
      const angle = start + (turn * s) / steps;
      outline.push([corner[0] + radius * Math.cos(angle), corner[1] + radius * Math.sin(angle)]);
    }
  }
  return path(outline, cls, true);
}

/** @type {(at: Point, half: number) => Shape[]} centre lines through a point */
const cross = (at, half) => [
  line([at[0] - half, at[1]], [at[0] + half, at[1]], "hair"),
  line([at[0], at[1] - half], [at[0], at[1] + half], "hair"),
];

/** @type {(axle: Point, radius: number) => Shape[]} */
const wheel = (axle, radius) => [
  circle(axle, radius, "outline"),
  circle(axle, RIM * radius, "thin"),
  circle(axle, (RIM - 0.05) * radius, "hair"),
  circle(axle, 0.07 * radius, "thin fill"),
  ...cross(axle, 0.11 * radius),
];

/** @type {(crown: Point, top: Point, axle: Point) => Shape[]} */
function fork(crown, top, axle) {
  const up = unit(crown, top);
  const side = ahead(up);
  const offset = (axle[0] - crown[0]) * side[0] + (axle[1] - crown[1]) * side[1];
  const length = (crown[0] - axle[0]) * up[0] + (crown[1] - axle[1]) * up[1];
  const leg = plus(axle, side, -Math.min(14, Math.max(offset, 0)));
  const head = plus(leg, up, length - 4);
  const shoulder = plus(leg, up, Math.min(290, 0.72 * length));
  return [
    tube(shoulder, head, 36),
    tube(plus(leg, up, 6), shoulder, 42, 50),
    tube(shoulder, plus(shoulder, up, 9), 54),
    rounded([leg, axle], 19),
    rounded([plus(crown, up, -18), plus(head, up, -14)], 22),
    circle(axle, 8, "thin fill"),
  ];
}

/** @type {(pose: Pose) => Shape[]} steerer with its spacers, stem, bar and grip */
function cockpit({ steerer_top: top, head_lower: low, stem_clamp: clamp, hand }) {
  if (!clamp) return [];
  const up = unit(low, top);
  const axis = foot(clamp, low, top);
  const shapes = [tube(top, plus(axis, up, -18), 38)];
  if (hand) shapes.push(rounded([clamp, hand], 11));
  shapes.push(tube(axis, clamp, 34, 30), tube(plus(axis, up, -20), plus(axis, up, 20), 40));
  shapes.push(circle(clamp, 20, "thin fill"), circle(clamp, 16, "hair"));
  if (hand) shapes.push(circle(hand, 17, "thin fill"), circle(hand, 4, "dot"));
  return shapes;
}

/** @type {(pose: Pose) => Shape[]} */
function saddle({ saddle: sit, seat_axis: axis }) {
  if (!sit) return [];
  /** @type {Shape[]} */
  const shapes = [];
  const rails = plus(sit, [0, -42]);
  if (axis) {
    const head = foot(rails, axis[0], axis[1]);
    const up = unit(axis[0], axis[1]);
    shapes.push(tube(plus(axis[1], up, -1), head, 31), tube(plus(axis[1], up, 45), axis[1], 38), rounded([head, rails], 13));
  }
  /** @type {Point[]} */
  const wires = [[88, -20], [50, -40], [-45, -40], [-86, -22]];
  shapes.push(path(wires.map((p) => plus(sit, p)), "thin"));
  shapes.push(path(SADDLE.map((p) => plus(sit, p)), "thin fill", true));
  return shapes;
}

/** @type {(pose: Pose) => Shape[]} ring, cranks with pedals, bottom bracket */
function cranks({ bb, crank_mm: crank, crank_deg: turned, ring_radius_mm: ring }) {
  /** @type {Shape[]} */
  const shapes = [];
  const pedal = (/** @type {Point} */ at, /** @type {string} */ cls) =>
    path([plus(at, [-48, -8]), plus(at, [48, -8]), plus(at, [48, 8]), plus(at, [-48, 8])], cls, true);
  if (ring) shapes.push(circle(bb, ring, "thin"), circle(bb, Math.max(ring - 8, 1), "hair"));
  if (crank) {
    const turn = ((turned || 0) * Math.PI) / 180;
    const out = /** @type {Point} */ ([crank * Math.cos(turn), crank * Math.sin(turn)]);
    const far = plus(bb, out, -1);
    const near = plus(bb, out);
    shapes.push(rounded([bb, far], 12, "hidden"), pedal(far, "hidden"), rounded([bb, near], 14), pedal(near, "thin fill"));
  }
  shapes.push(circle(bb, 22, "thin fill"), circle(bb, 12, "thin"), ...cross(bb, 34));
  return shapes;
}

/** @type {(points: Point[]) => Shape[]} */
function shock(points) {
  const a = points[0];
  const b = points[points.length - 1];
  const along = unit(a, b);
  const length = dist(a, b);
  const shoulder = plus(a, along, 0.58 * length);
  return [
    tube(shoulder, plus(b, along, -12), 26),
    tube(plus(a, along, 14), shoulder, 46),
    tube(plus(shoulder, along, -9), shoulder, 50),
    circle(a, 14, "thin fill"),
    circle(b, 14, "thin fill"),
  ];
}

/** @type {(points: Point[]) => Shape[]} a bar or a plate round its pins; a long one as tubes from point to point */
function link(points) {
  if (!points.length) return [];
  let longest = 0;
  for (const a of points) for (const b of points) longest = Math.max(longest, dist(a, b));
  if (points.length < 3 || longest < 230) return [rounded(points, 15)];
  return points.slice(1).map((p, i) => rounded([points[i], p], 12));
}

/** @type {(pose: Pose) => Shape[]} front triangle; stays where nothing else carries the rear axle */
function frame(pose) {
  const { bb, head_lower: low, head_upper: high, seat_axis: seat } = pose;
  const up = unit(low, high);
  /** @type {Shape[]} */
  const shapes = [];
  const stiff = !pose.bodies.length;
  if (stiff) shapes.push(tube(bb, pose.rear_axle, 26, 20));
  if (seat) {
    const along = unit(seat[0], seat[1]);
    if (stiff) shapes.push(tube(plus(seat[1], along, -70), pose.rear_axle, 18));
    shapes.push(tube(plus(high, up, -24), plus(seat[1], along, -48), 42, 34, "outline fill"));
    shapes.push(tube(seat[0], seat[1], 36, 36, "outline fill"));
  }
  shapes.push(tube(plus(low, up, 30), bb, 56, 62, "outline fill"), tube(low, high, 50, 46, "outline fill"));
  shapes.push(circle(bb, 34, "outline fill"));
  return shapes;
}

/** @type {(pose: Pose) => Shape[]} */
function linkage(pose) {
  /** @type {Shape[]} */
  const shapes = [];
  for (const body of pose.bodies) if (body.kind === "link") shapes.push(...link(body.points));
  for (const body of pose.bodies) if (body.kind === "shock") shapes.push(...shock(body.points));
  for (const at of Object.values(pose.pins)) shapes.push(circle(at, 8, "thin fill"), circle(at, 2, "dot"));
  shapes.push(circle(pose.rear_axle, 9, "thin fill"), circle(pose.rear_axle, 2, "dot"));
  return shapes;
}

/** Whether the instant centre lies near enough to the bike to be marked. @type {(pose: Pose) => boolean} */
export function hasCentre(pose) {
  if (!pose.instant_centre) return false;
  const [x, z] = pose.instant_centre;
  return x > pose.rear_axle[0] - 400 && x < pose.front_axle[0] + 400 && z > 0 && z < 1400;
}

/** @type {(pose: Pose) => Shape[]} steering axis, path of the rear axle, instant centre */
function paths(pose) {
  const up = unit(pose.crown, pose.steerer_top);
  const low = foot(pose.front_axle, pose.crown, pose.steerer_top);
  const shapes = [line(plus(low, up, -pose.front_radius * 1.05), plus(pose.steerer_top, up, 120), "centre")];
  if (pose.axle_path && pose.axle_path.length > 1) shapes.push(path(pose.axle_path, "path"));
  if (pose.instant_centre && hasCentre(pose)) {
    const [x, z] = pose.instant_centre;
    shapes.push(line([x - 12, z - 12], [x + 12, z + 12], "path"), line([x - 12, z + 12], [x + 12, z - 12], "path"));
  }
  return shapes;
}

/** @type {Record<string, number>} width of a rider's segments, to be recognised */
const LIMB = { trunk: 120, upper_arm: 56, forearm: 46, thigh: 96, shank: 70, foot: 52 };

/** @type {(segments: [string, [Point, Point]][]) => Shape[]} a rider in hairlines */
const rider = (segments) =>
  segments
    .filter(([name]) => name === "head" || name in LIMB)
    .map(([name, [a, b]]) =>
      name === "head"
        ? circle([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], 0.55 * dist(a, b), "hair rider")
        : rounded([a, b], LIMB[name] / 2, "hair rider"),
    );

/**
 * The bike as it is.
 * @param {Pose} pose
 * @returns {Shape[]}
 */
export function bike(pose) {
  return [
    ...wheel(pose.rear_axle, pose.rear_radius),
    ...wheel(pose.front_axle, pose.front_radius),
    ...rider(pose.rider),
    ...frame(pose),
    ...linkage(pose),
    ...fork(pose.crown, pose.steerer_top, pose.front_axle),
    ...cockpit(pose),
    ...saddle(pose),
    ...cranks(pose),
    ...pose.outlines.filter((o) => o[1].length > 1).map((o) => path(o[1], "thin")),
    ...paths(pose),
  ];
}

/**
 * The pinned bike, as dashed axes and wheels only.
 * @param {Pose} pose
 * @param {string} [cls]
 * @returns {Shape[]}
 */
export function ghost(pose, cls = "ghost") {
  /** @type {Point[][]} */
  const lines = [[pose.head_lower, pose.bb], [pose.head_upper, pose.head_lower]];
  lines.push([pose.steerer_top, pose.crown, pose.front_axle]);
  const seat = pose.seat_axis;
  if (!pose.bodies.length) lines.push([pose.bb, pose.rear_axle]);
  if (seat) {
    const along = unit(seat[0], seat[1]);
    lines.push([seat[0], seat[1]], [plus(pose.head_upper, unit(pose.head_lower, pose.head_upper), -24), plus(seat[1], along, -48)]);
    if (!pose.bodies.length) lines.push([seat[1], pose.rear_axle]);
    if (pose.saddle) lines.push([seat[1], foot(pose.saddle, seat[0], seat[1])]);
  }
  const sit = pose.saddle;
  if (sit) lines.push([...SADDLE, SADDLE[0]].map((p) => plus(sit, p)));
  if (pose.stem_clamp) {
    const axis = foot(pose.stem_clamp, pose.head_lower, pose.steerer_top);
    lines.push([pose.steerer_top, axis, pose.stem_clamp]);
  }
  for (const body of pose.bodies) lines.push(body.points);
  /** @type {Shape[]} */
  const shapes = lines.filter((l) => l.length > 1).map((l) => path(l, cls));
  shapes.push(circle(pose.rear_axle, pose.rear_radius, cls), circle(pose.front_axle, pose.front_radius, cls));
  if (pose.hand) shapes.push(circle(pose.hand, 17, cls));
  return shapes;
}

/**
 * The ground from one side to the other, hatched below.
 * @param {number} left
 * @param {number} right
 * @param {number} stroke length of a hatch stroke
 * @returns {Shape[]}
 */
export function ground(left, right, stroke) {
  let hatch = "";
  const first = Math.ceil(left / stroke);
  const last = Math.floor(right / stroke);
  for (let i = first; i <= last; i += 1) {
    const x = Math.round(i * stroke * 10) / 10;
    hatch += `M${x} 0L${Math.round((x - 0.7 * stroke) * 10) / 10} ${Math.round(-7 * stroke) / 10}`;
  }
  return [line([left, 0], [right, 0], "outline"), { d: hatch, c: "hair" }];
}
