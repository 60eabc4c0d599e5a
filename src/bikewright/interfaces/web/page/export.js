// The bike in a file of its own: drawing, travel, curves and figures, with no server. The server puts it with its modules into export.html.

import { Chart, figure, nearest, readTones } from "./curves.js";
import { Drawing } from "./drawing.js";

/** @param {string} tag @param {string} cls @param {string} words @param {Element} parent @returns {any} */
function put(tag, cls, words, parent) {
  const node = document.createElement(tag);
  if (cls) node.className = cls;
  node.textContent = words;
  parent.appendChild(node);
  return node;
}

/** @param {string} id @returns {any} */
const by = (id) => document.getElementById(id);

function begin() {
  const screen = JSON.parse(by("data").textContent);
  const bike = screen.bike;
  const build = screen.build;
  document.title = `${build.bike}, ${build.build}, size ${build.size}`;
  for (const [label, words] of [[bike.maker || "bike", build.bike], ["build", build.build], ["size", build.size], ["revision", bike.revision || "–"]]) {
    const cell = put("div", "cell", "", by("title"));
    put("span", "", label, cell);
    put("b", "", words, cell);
  }
  readTones();
  const nothing = () => {};
  const drawing = new Drawing(by("stage"), { choose: nothing, drag: nothing, drop: nothing, abandon: nothing, nudge: nothing });
  const poses = screen.travel;
  /** @type {Chart[]} */
  const charts = [];
  /** @type {(() => void)[]} */
  const writers = [];
  let at = /** @type {number | null} */ (null);
  let x = /** @type {number | null} */ (null);
  const show = () => {
    drawing.show({
      pose: at === null || !poses[at] ? screen.pose : poses[at], before: at === null ? screen.before : null,
      handles: [], values: null, fault: null, chosen: "", spoken: `Side view of ${document.title}`,
    });
    by("at").textContent = at === null ? "" : `${Number(poses[at].state).toFixed(0)} mm`;
    if (at !== null) by("travel").value = String(at);
    for (const chart of charts) chart.point(x);
    for (const write of writers) write();
  };
  const read = (/** @type {number | null} */ to) => {
    x = to;
    at = to === null || !poses.length ? null : nearest(poses.map((/** @type {any} */ p) => Number(p.state)), to);
    show();
  };
  for (const curve of screen.curves) {
    if (!curve.now) continue;
    const box = put("figure", "chart", "", by("charts"));
    const caption = put("figcaption", "", "", box);
    put("b", "", `${curve.label} ${curve.unit}`.trim(), caption);
    const said = put("output", "said", "", caption);
    const plot = put("div", "plot", "", box);
    charts.push(new Chart(plot, curve, read));
    plot.addEventListener("mouseleave", () => read(null));
    writers.push(() => {
      const i = x === null ? -1 : nearest(curve.now.x, x);
      said.textContent = i < 0 ? `over ${curve.along}, mm` : `${figure(curve.now.y[i], curve)} at ${curve.now.x[i].toFixed(0)} mm`;
    });
  }
  const slider = by("travel");
  slider.max = String(Math.max(0, poses.length - 1));
  const place = () => {
    at = Number(slider.value);
    x = poses[at] ? Number(poses[at].state) : null;
    if (!poses[at]) at = null;
    show();
  };
  slider.addEventListener("input", place);
  let going = 0;
  const halt = () => {
    clearInterval(going);
    going = 0;
    by("move").textContent = "move";
  };
  by("stand").addEventListener("click", () => (halt(), read(null)));
  by("move").addEventListener("click", () => {
    if (going || !poses.length) return halt();
    by("move").textContent = "stop";
    let step = 0;
    going = setInterval(() => {
      step += 1;
      const last = poses.length - 1;
      slider.value = String(Math.abs(((step + last) % (2 * last)) - last));
      place();
    }, 60);
    return undefined;
  });
  const table = put("table", "", "", by("figures"));
  for (const row of screen.values) {
    const line = put("tr", "", "", put("tbody", "", "", table));
    put("th", "", row.label, line).scope = "row";
    put("td", "num", row.text, line);
  }
  show();
}

begin();
