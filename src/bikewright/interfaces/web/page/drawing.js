// The bike on the screen: to scale on the ground, zoomed and moved by wheel, finger and keys, its points dragged.

import { dimensions } from "./dimensions.js";
import { circle, line, paint, path, svg, text } from "./pen.js";
import { bike, ghost, ground } from "./symbols.js";

/** @typedef {import("./pen.js").Point} Point */
/** @typedef {import("./symbols.js").Pose} Pose */
/**
 * @typedef {object} Handle a point that can be moved
 * @property {string} name
 * @property {string} label for the screen and for a screen reader
 * @property {Point} at millimetres on the ground
 */
/**
 * @typedef {object} Scene
 * @property {string} [what] which build, size and state: another one is shown whole again
 * @property {Pose | null} pose
 * @property {Pose | null} before
 * @property {Pose[]} [others] more outlines, as of other sizes
 * @property {Handle[]} handles
 * @property {Map<string, {text: string, more: string}> | null} values dimension texts, or null for none
 * @property {string} spoken what is drawn, in a sentence
 * @property {import("./types.js").AngleMark[]} [angles] of the rider's joints, each where it is
 * @property {{pin: string | null, travel_mm: number | null} | null} fault where the linkage cannot close
 * @property {string} chosen
 */
/**
 * @typedef {object} Hands what the drawing tells about hands on it
 * @property {(name: string) => void} choose
 * @property {(name: string, by: Point) => void} drag from where it was taken, millimetres on the ground
 * @property {(name: string, by: Point) => void} drop
 * @property {() => void} abandon
 * @property {(name: string, by: Point) => void} nudge
 */

const ZOOM = 1.2;
const STEP_MM = 0.1;
const MARGIN = 0.04;

/** Where the linkage stops, crossed out. @param {Scene} scene @param {(p: Point) => Point} place @returns {import("./pen.js").Shape[]} */
function fault({ pose, fault: at }, place) {
  if (!pose || !at) return [];
  const [x, y] = place((at.pin && pose.pins[at.pin]) || pose.rear_axle);
  const words = at.travel_mm === null ? "cannot move" : `stops at ${at.travel_mm.toFixed(0)} mm of travel`;
  return [
    circle([x, y], 17, "fault"),
    line([x - 12, y - 12], [x + 12, y + 12], "fault"),
    line([x - 12, y + 12], [x + 12, y - 12], "fault"),
    text([x, y + 34], words, "fault"),
  ];
}

const [JOINT_STEPS, LETTER_PX, LINE_PX] = [14, 6.6, 15];

/** The angles of a rider's joints: an arc between both legs, its number beyond it and clear of the others. @param {import("./types.js").AngleMark[]} marks @param {(p: Point) => Point} place @param {number} scale */
function angles(marks, place, scale) {
  /** @type {import("./pen.js").Shape[]} */
  const lines = [];
  /** @type {{at: Point, half: number}[]} */
  const said = [];
  const texts = marks.map((mark) => {
    const at = place(mark.vertex);
    const legs = [mark.first, mark.second].map(place).map((p) => Math.atan2(p[1] - at[1], p[0] - at[0]));
    const turn = ((legs[1] - legs[0] + 3 * Math.PI) % (2 * Math.PI)) - Math.PI;
    const radius = mark.radius * scale;
    const on = (/** @type {number} */ angle, /** @type {number} */ r) => /** @type {Point} */ ([at[0] + r * Math.cos(angle), at[1] + r * Math.sin(angle)]);
    const far = mark.outside ? "angle far" : "angle";
    lines.push(path(Array.from({ length: JOINT_STEPS + 1 }, (_, i) => on(legs[0] + (turn * i) / JOINT_STEPS, radius)), far));
    for (const leg of legs) lines.push(line(at, on(leg, radius + 6), "hair"));
    const half = (mark.text.length * LETTER_PX) / 2;
    let middle = on(legs[0] + turn / 2, radius + 12);
    const side = Math.cos(legs[0] + turn / 2);
    middle = [middle[0] + side * half, middle[1] + 4];
    const meets = () => said.some((other) => Math.abs(other.at[0] - middle[0]) < other.half + half && Math.abs(other.at[1] - middle[1]) < LINE_PX);
    for (let tries = 0; meets() && tries < 5; tries += 1) middle = [middle[0], middle[1] + LINE_PX];
    said.push({ at: middle, half });
    return text(middle, mark.text, mark.outside ? "moved" : "");
  });
  return [...lines, ...texts];
}

export class Drawing {
  /** @param {HTMLElement} host @param {Hands} hands */
  constructor(host, hands) {
    this.hands = hands;
    this.host = host;
    /** @type {Scene | null} */
    this.scene = null;
    this.scale = 0;
    /** @type {Point} */
    this.origin = [0, 0];
    this.size = [0, 0];
    this.touched = false;
    /** @type {Map<number, Point>} */
    this.fingers = new Map();
    /** @type {{name: string, from: Point, page: Point, by: Point, id: number, moved: boolean} | null} */
    this.held = null;
    this.svg = svg("svg", { class: "bike", role: "group", tabindex: 0, "aria-labelledby": "bike-title", "aria-describedby": "bike-keys" }, host);
    this.title = svg("title", { id: "bike-title" }, this.svg);
    svg("desc", { id: "bike-keys" }, this.svg).textContent = "Keys: plus and minus zoom, 0 shows all, arrows move the view. Tab reaches the points; arrows there move the point.";
    this.world = svg("g", {}, this.svg);
    this.layers = Object.fromEntries(["ground", "others", "ghost", "bike"].map((name) => [name, svg("g", { class: name }, this.world)]));
    this.dims = svg("g", { class: "dims" }, this.svg);
    this.faults = svg("g", { class: "faults" }, this.svg);
    this.marks = svg("g", { class: "marks" }, this.svg);
    /** @type {Map<string, SVGGElement>} */
    this.points = new Map();
    this.listen();
    new ResizeObserver(() => this.resized()).observe(host);
    this.resized();
  }

  resized() {
    const box = this.host.getBoundingClientRect();
    if (!box.width || !box.height) return;
    this.size = [box.width, box.height];
    if (this.touched) this.placed();
    else this.fit();
  }

  /** @param {Point} p millimetres @returns {Point} screen points in the drawing */
  place = (p) => [this.origin[0] + this.scale * p[0], this.origin[1] - this.scale * p[1]];

  /** @param {Scene} scene */
  show(scene) {
    const first = !this.scene || !this.scene.pose || (!this.touched && this.scene.what !== scene.what);
    this.scene = scene;
    if (this.title.textContent !== scene.spoken) this.title.textContent = scene.spoken;
    if (scene.pose && (first || !this.scale)) this.fit();
    else this.repaint();
  }

  /** Show the whole bike. */
  fit() {
    this.touched = false;
    const poses = this.scene ? [this.scene.pose, this.scene.before, ...(this.scene.others || [])].filter((p) => p !== null) : [];
    if (!poses.length || !this.size[0]) return;
    let [left, right, top] = [Infinity, -Infinity, 0];
    for (const p of poses) {
      left = Math.min(left, p.rear_axle[0] - p.rear_radius);
      right = Math.max(right, p.front_axle[0] + p.front_radius);
      for (const at of [p.steerer_top, p.hand, p.saddle]) if (at) top = Math.max(top, at[1] + 40);
      // a rider whose angles are read is shown whole
      if (this.scene && this.scene.angles) for (const [, ends] of p.rider) for (const at of ends) top = Math.max(top, at[1] + 140);
    }
    const under = this.size[1] > 300 ? 56 : 26;
    const [w, h] = [this.size[0] * (1 - 2 * MARGIN), this.size[1] * (1 - 2 * MARGIN) - under];
    this.scale = Math.min(w / (right - left), h / top);
    this.origin = [
      (this.size[0] - this.scale * (left + right)) / 2,
      (this.size[1] - under + this.scale * top) / 2 + 4,
    ];
    this.placed();
  }

  placed() {
    this.svg.setAttribute("viewBox", `0 0 ${this.size[0]} ${this.size[1]}`);
    this.world.setAttribute("transform", `matrix(${this.scale} 0 0 ${-this.scale} ${this.origin[0]} ${this.origin[1]})`);
    const edge = (/** @type {number} */ x) => (x - this.origin[0]) / this.scale;
    if (this.scale) paint(this.layers.ground, ground(edge(0), edge(this.size[0]), 9 / this.scale));
    this.repaint();
  }

  repaint() {
    const scene = this.scene;
    if (!scene || !this.scale) return;
    if (scene.pose) paint(this.layers.bike, bike(scene.pose));
    else paint(this.layers.bike, []);
    paint(this.layers.ghost, scene.before ? ghost(scene.before) : []);
    paint(this.layers.others, (scene.others || []).flatMap((pose, i) => ghost(pose, `other o${i % 4}`)));
    paint(this.dims, scene.pose && scene.angles ? angles(scene.angles, this.place, this.scale)
      : scene.pose && scene.values ? dimensions(scene.pose, scene.values, this.place, this.size[0]) : []);
    paint(this.faults, fault(scene, this.place));
    this.handles(scene);
  }

  /** @param {Scene} scene */
  handles(scene) {
    const names = new Set(scene.handles.map((h) => h.name));
    for (const [name, node] of this.points) {
      if (names.has(name)) continue;
      node.remove();
      this.points.delete(name);
    }
    for (const handle of scene.handles) {
      let node = this.points.get(handle.name);
      if (!node) {
        node = /** @type {SVGGElement} */ (svg("g", { class: "handle", tabindex: 0, role: "button", "aria-roledescription": "point to move" }, this.marks));
        node.dataset.name = handle.name;
        svg("circle", { class: "reach", r: 16 }, node);
        svg("circle", { class: "ring", r: 9 }, node);
        svg("text", { class: "name", x: 14, y: -10 }, node);
        this.points.set(handle.name, node);
      }
      const [x, y] = this.place(handle.at);
      // an attribute that is written again is laid out again, though it says the same
      const transform = `translate(${x.toFixed(1)} ${y.toFixed(1)})`;
      if (node.getAttribute("transform") !== transform) node.setAttribute("transform", transform);
      if (node.getAttribute("aria-label") !== handle.label) {
        node.setAttribute("aria-label", handle.label);
        /** @type {Element} */ (node.lastChild).textContent = handle.label;
      }
      const chosen = handle.name === scene.chosen ? "handle chosen" : "handle";
      if (node.getAttribute("class") !== chosen) {
        node.setAttribute("class", chosen);
        node.setAttribute("aria-pressed", String(handle.name === scene.chosen));
      }
    }
  }

  /** @param {number} times @param {Point} [about] */
  zoom(times, about = [this.size[0] / 2, this.size[1] / 2]) {
    const scale = Math.min(12, Math.max(0.04, this.scale * times));
    const real = scale / this.scale;
    this.scale = scale;
    this.origin = [about[0] + (this.origin[0] - about[0]) * real, about[1] + (this.origin[1] - about[1]) * real];
    this.touched = true;
    this.placed();
  }

  /** @param {number} dx @param {number} dy */
  pan(dx, dy) {
    this.origin = [this.origin[0] + dx, this.origin[1] + dy];
    this.touched = true;
    this.placed();
  }

  /** @param {MouseEvent} event @returns {Point} */
  at(event) {
    const box = this.svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  listen() {
    const node = /** @type {SVGSVGElement} */ (this.svg);
    node.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), this.at(event));
    }, { passive: false });
    // two fingers zoom and move the drawing; one finger that is not on a point scrolls the page
    const both = (/** @type {TouchEvent} */ event) => event.touches.length > 1 && event.preventDefault();
    node.addEventListener("touchstart", both, { passive: false });
    node.addEventListener("touchmove", both, { passive: false });
    node.addEventListener("pointerdown", (event) => this.down(event));
    node.addEventListener("pointermove", (event) => this.move(event));
    // a browser keeps moves back until its next frame; where it tells them at once, the question is on its way earlier
    node.addEventListener("pointerrawupdate", (event) => this.held && this.carry(/** @type {PointerEvent} */ (event)));
    node.addEventListener("pointerup", (event) => this.up(event, true));
    node.addEventListener("pointercancel", (event) => this.up(event, false));
    node.addEventListener("keydown", (event) => this.key(event));
    node.addEventListener("focusin", (event) => {
      const name = /** @type {any} */ (event.target).dataset.name;
      if (name) this.hands.choose(name);
    });
  }

  /** The point nearest to a place, where several are within reach of it. @param {Point} at @param {number} reach @returns {SVGGElement | null} */
  nearest(at, reach) {
    let found = null;
    for (const handle of this.scene ? this.scene.handles : []) {
      const [x, y] = this.place(handle.at);
      const far = Math.hypot(x - at[0], y - at[1]);
      if (far <= reach) [reach, found] = [far, this.points.get(handle.name) || null];
    }
    return found;
  }

  /** @param {PointerEvent} event */
  down(event) {
    if (event.button > 0) return;
    const point = this.nearest(this.at(event), event.pointerType === "touch" ? 24 : 16);
    this.fingers.set(event.pointerId, this.at(event));
    if (point && this.fingers.size === 1) {
      const name = String(point.dataset.name);
      this.held = { name, from: this.at(event), page: [event.pageX, event.pageY], by: [0, 0], id: event.pointerId, moved: false };
      this.svg.setPointerCapture(event.pointerId);
      point.focus({ preventScroll: true });
      event.preventDefault();
    } else if (event.pointerType === "mouse") {
      this.svg.setPointerCapture(event.pointerId);
      this.svg.classList.add("panning");
    }
  }

  /** The point that is held goes with the hand. Its way is taken on the page, which asks for no layout. @param {PointerEvent} event */
  carry(event) {
    const held = this.held;
    if (!held || held.id !== event.pointerId) return;
    const [dx, dy] = [event.pageX - held.page[0], event.pageY - held.page[1]];
    const round = (/** @type {number} */ px) => Math.round(px / this.scale / STEP_MM) * STEP_MM;
    const by = /** @type {Point} */ ([round(dx), -round(dy)]);
    const same = held.moved && by[0] === held.by[0] && by[1] === held.by[1];
    held.by = by;
    held.moved = held.moved || Math.hypot(dx, dy) > 2;
    this.fingers.set(event.pointerId, [held.from[0] + dx, held.from[1] + dy]);
    if (held.moved && !same) this.hands.drag(held.name, held.by);
  }

  /** @param {PointerEvent} event */
  move(event) {
    const old = this.fingers.get(event.pointerId);
    if (!old) return;
    if (this.held && this.held.id === event.pointerId) {
      this.carry(event);
      return;
    }
    const now = this.at(event);
    if (this.fingers.size === 2) {
      const other = [...this.fingers].filter(([id]) => id !== event.pointerId)[0][1];
      const was = Math.hypot(old[0] - other[0], old[1] - other[1]);
      const is = Math.hypot(now[0] - other[0], now[1] - other[1]);
      this.pan((now[0] - old[0]) / 2, (now[1] - old[1]) / 2);
      if (was > 8) this.zoom(is / was, [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2]);
    } else if (event.pointerType === "mouse") {
      this.pan(now[0] - old[0], now[1] - old[1]);
    }
    this.fingers.set(event.pointerId, now);
  }

  /** @param {PointerEvent} event @param {boolean} meant */
  up(event, meant) {
    this.fingers.delete(event.pointerId);
    this.svg.classList.remove("panning");
    const held = this.held;
    if (!held || held.id !== event.pointerId) return;
    this.held = null;
    if (!held.moved) return;
    if (meant) this.hands.drop(held.name, held.by);
    else this.hands.abandon();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.ctrlKey || event.metaKey) return;
    const name = /** @type {any} */ (event.target).dataset.name;
    const way = /** @type {Record<string, Point>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] })[event.key];
    if (event.key === "Escape" && this.held) {
      this.held = null;
      this.hands.abandon();
    } else if (way && name) {
      const step = event.altKey ? 5 : event.shiftKey ? 1 : 0.1;
      this.hands.nudge(name, [way[0] * step, way[1] * step]);
    } else if (way) {
      const far = event.shiftKey ? 120 : 30;
      this.pan(-way[0] * far, way[1] * far);
    } else if (event.key === "+" || event.key === "=") this.zoom(ZOOM);
    else if (event.key === "-" || event.key === "_") this.zoom(1 / ZOOM);
    else if (event.key === "0") this.fit();
    else return;
    event.preventDefault();
  }
}

