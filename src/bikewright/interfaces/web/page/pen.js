// Shapes into SVG: one element a shape, reused from frame to frame, presentation by class and attribute only.
//
// Shapes are made in millimetres, x forward and z up; the group that they are painted into turns them over. Line
// weights and dashes stay those of the screen.

/** @typedef {[number, number]} Point */
/**
 * @typedef {{d: string, c: string}} PathShape path data and class
 * @typedef {{x: number, y: number, r: number, c: string}} CircleShape
 * @typedef {{x: number, y: number, text: string, c: string, anchor?: string, angle?: number}} TextShape
 * @typedef {PathShape | CircleShape | TextShape} Shape
 */

const SVG = "http://www.w3.org/2000/svg";

/** @param {number} v @returns {number} to a hundredth, so that equal drawings are equal */
const n = (v) => Math.round(v * 100) / 100;

/**
 * @param {Point[]} points
 * @param {string} cls
 * @param {boolean} [closed]
 * @returns {PathShape}
 */
export function path(points, cls, closed = false) {
  let d = "";
  for (let i = 0; i < points.length; i += 1) d += (i ? "L" : "M") + n(points[i][0]) + " " + n(points[i][1]);
  return { d: closed ? d + "Z" : d, c: cls };
}

/** @param {Point} a @param {Point} b @param {string} cls @returns {PathShape} */
export const line = (a, b, cls) => path([a, b], cls);

/** @param {Point} at @param {number} r @param {string} cls @returns {CircleShape} */
export const circle = (at, r, cls) => ({ x: n(at[0]), y: n(at[1]), r: n(r), c: cls });

/**
 * @param {Point} at @param {string} text @param {string} cls @param {string} [anchor] @param {number} [angle] degrees
 * @returns {TextShape}
 */
export const text = (at, text, cls, anchor = "middle", angle = 0) => ({ x: n(at[0]), y: n(at[1]), text, c: cls, anchor, angle });

/** @param {Shape} shape @returns {string} */
const tagOf = (shape) => ("d" in shape ? "path" : "text" in shape ? "text" : "circle");

/**
 * Paint shapes into a group; elements that are there are changed, not made anew.
 * @param {SVGGElement} group
 * @param {Shape[]} shapes
 */
export function paint(group, shapes) {
  let node = /** @type {any} */ (group.firstChild);
  for (const shape of shapes) {
    const tag = tagOf(shape);
    if (!node || node.tagName !== tag) {
      const made = /** @type {any} */ (document.createElementNS(SVG, tag));
      made.was = {};
      group.insertBefore(made, node);
      node = made;
    }
    const was = node.was;
    if (was.c !== shape.c) node.setAttribute("class", (was.c = shape.c));
    if ("d" in shape) {
      if (was.d !== shape.d) node.setAttribute("d", (was.d = shape.d));
    } else if ("text" in shape) {
      if (was.text !== shape.text) node.textContent = was.text = shape.text;
      if (was.anchor !== shape.anchor) node.setAttribute("text-anchor", (was.anchor = shape.anchor));
      const key = shape.x + " " + shape.y + " " + shape.angle;
      if (was.key !== key) {
        was.key = key;
        node.setAttribute("x", shape.x);
        node.setAttribute("y", shape.y);
        if (shape.angle) node.setAttribute("transform", `rotate(${n(shape.angle)} ${shape.x} ${shape.y})`);
        else node.removeAttribute("transform");
      }
    } else {
      if (was.x !== shape.x) node.setAttribute("cx", (was.x = shape.x));
      if (was.y !== shape.y) node.setAttribute("cy", (was.y = shape.y));
      if (was.r !== shape.r) node.setAttribute("r", (was.r = shape.r));
    }
    node = node.nextSibling;
  }
  while (node) {
    const next = node.nextSibling;
    group.removeChild(node);
    node = next;
  }
}

/** @param {string} tag @param {Record<string, string | number>} attributes @param {Element} [parent] @returns {any} */
export function svg(tag, attributes, parent) {
  const node = document.createElementNS(SVG, tag);
  for (const name of Object.keys(attributes)) node.setAttribute(name, String(attributes[name]));
  if (parent) parent.appendChild(node);
  return node;
}
