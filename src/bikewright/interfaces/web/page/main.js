// The workbench: rooms by deep link, keys, theme, and what is asked of the server for each of them.

import { Brief } from "./brief.js";
import { Change } from "./change.js";
import { readTones } from "./curves.js";
import { FitRoom } from "./fit.js";
import { settle } from "./hands.js";
import { arrive, asked, handOver, openTwin } from "./keys.js";
import { busy, connect, drop, order, show } from "./link.js";
import { svg } from "./pen.js";
import { RangeRoom } from "./range.js";
import { ASKED, FiguresRoom, Parts, Sizes, fetching, twin } from "./rooms.js";
import { SetupRoom } from "./setup.js";
import { Charts, Key, Point, Readings, Scrubber, Stage, readTravel } from "./stage.js";
import { FEW_CURVES, listen, recalled, refuse, remember, set, state } from "./store.js";
import { Versions } from "./versions.js";
import { html, render } from "./vendor/preact-htm.js";

const ROOMS = /** @type {[string, string][]} */ ([
  ["bike", "Bike"], ["curves", "Curves"], ["figures", "Figures"], ["sizes", "Sizes"], ["range", "Range"], ["fit", "Fit"], ["setup", "Set-up"], ["brief", "Brief"], ["parts", "Parts"], ["versions", "Versions"],
]);
const TRAVEL_WAIT_MS = 250;
/** how often the list is written anew while a point is held: oftener than it can be read takes frames from the drawing */
const LIST_EVERY_MS = 200;
/** what of a view a deep link names */
const PLACES = /** @type {("build" | "size" | "state")[]} */ (["build", "size", "state"]);

/** @typedef {import("./types.js").Screen} Screen */
/** @typedef {import("./types.js").State} State */

let travelTimer = 0;
/** the newest list, while it waits to be written; 0 for none */
let listTimer = 0;
let listedAt = -LIST_EVERY_MS;

/** @returns {string[]} every curve that the catalogue has */
const allCurves = () => offered().map((q) => q.key);

/** Curves that can be chosen by name; those of one pin or one gear are asked for by address. */
const offered = () => ((state.welcome && state.welcome.catalogue.quantities) || []).filter((q) => ["travel", "fork"].includes(q.scope) && q.key !== "pin_force");

/** What the room that is open needs to be shown. */
function look() {
  const all = allCurves();
  const few = recalled("curves", FEW_CURVES);
  const curves = state.room === "curves" ? all : state.room === "bike" ? few : [];
  const values = ["figures", "brief"].includes(state.room) || (state.room === "bike" && state.dimensions);
  return { ...state.view, curves, values };
}

/** @param {Partial<import("./types.js").View>} changes */
function see(changes) {
  Object.assign(state.view, changes);
  set({ view: { ...look(), travel: false } });
  if (state.welcome) show();
}

/** A screen came: the list that follows it is on its way, so the last one stays until then. @param {Screen} came */
function screenCame(came) {
  clearTimeout(travelTimer);
  const old = state.screen;
  const screen = { ...came, comparison: came.comparison || (old && old.comparison), values: came.values.length ? came.values : (old && old.values) || [] };
  const changes = /** @type {Partial<State>} */ ({ screen, trouble: screen.trouble ? { text: screen.trouble, place: null } : state.trouble && state.trouble.deed ? state.trouble : null });
  if (screen.pose) changes.good = screen.pose;
  if (came.draft) changes.draft = came.draft;
  if (came.model) changes.model = came.model;
  if (came.travel.length) changes.travel = { key: screen.build.key, poses: came.travel };
  else if (!screen.pose || !screen.pose.bodies.length) changes.travel = { key: screen.build.key, poses: [] };
  if (!state.view.size) state.view.size = screen.build.size;
  set(changes);
  travelTimer = setTimeout(askTravel, TRAVEL_WAIT_MS);
}

/** @typedef {{n: number, comparison: import("./types.js").Comparison, values?: Screen["values"]}} Told */

/** What follows a screen came: the list, and the values where they were asked for. While a point is held the newest waits its turn. @param {Told} told */
function consequencesCame(told) {
  clearTimeout(listTimer);
  const wait = state.trying ? listedAt + LIST_EVERY_MS - performance.now() : 0;
  listTimer = wait > 0 ? setTimeout(() => list(told), wait) : 0;
  if (!listTimer) list(told);
}

/** @param {Told} told */
function list(told) {
  listTimer = 0;
  listedAt = performance.now();
  const { trouble } = state;
  // while the linkage cannot close, the last screen that could be drawn stays, its list with it
  if (!state.screen || (trouble && !trouble.deed && trouble.n === told.n)) return;
  const screen = { ...state.screen, comparison: told.comparison, told: told.n };
  if (told.values) screen.values = told.values;
  set({ screen });
}

/** Ask for the poses through the travel when nothing else is going on. */
function askTravel() {
  const { screen, travel, room } = state;
  if (!screen || travel.key === screen.build.key || !["bike", "curves"].includes(room)) return;
  if (busy() || state.trying) {
    travelTimer = setTimeout(askTravel, TRAVEL_WAIT_MS);
    return;
  }
  set({ view: { ...state.view, travel: true } });
  show();
  state.view.travel = false;
}

/** Open the room that the address names. */
function route() {
  const [path, query] = location.hash.replace(/^#\/?/, "").split("?");
  const known = ROOMS.some(([name]) => name === path);
  const said = new URLSearchParams(query || "");
  for (const name of PLACES) state.view[name] = said.get(name) ?? state.view[name];
  const ride = /** @type {import("./types.js").Ride} */ ({ ...state.ride });
  for (const name of ASKED[path] || []) ride[name] = said.get(name) ?? ride[name];
  readTravel(null);
  const beside = (said.get("compare") || "").split(",").filter((name, i, all) => name && all.indexOf(name) === i).slice(0, 3);
  const names = said.has("compare") || path === "versions";
  set({ ride, room: known ? path : "bike", compare: names ? beside : state.compare });
  see({});
  document.title = `${known ? ROOMS.find(([n]) => n === path)?.[1] : "Bike"}, bikewright`;
}

/** The deep link of what is shown. @param {string} room @returns {string} */
function link(room) {
  const { view } = state;
  const says = new URLSearchParams();
  for (const name of PLACES) if (view[name]) says.set(name, view[name]);
  const beside = room === "versions" && state.compare.length > 1 ? `&compare=${state.compare.map(encodeURIComponent).join(",")}` : "";
  for (const name of ASKED[room] || []) if (state.ride[name]) says.set(name, state.ride[name]);
  return `#/${room}?${says}${beside}`;
}

/** @param {string} theme "paper", "dusk" or "" for what the machine prefers */
function setTheme(theme) {
  if (theme) document.documentElement.dataset.theme = theme;
  else delete document.documentElement.dataset.theme;
  remember("theme", theme);
  readTones();
  set({ theme });
}

const isDusk = () => state.theme === "dusk" || (!state.theme && matchMedia("(prefers-color-scheme: dark)").matches);

/** @param {{name: "build" | "size" | "state", label: string, choices: [string, string][]}} props */
function Choose({ name, label, choices }) {
  const pick = (/** @type {any} */ event) => {
    settle();
    const more = name === "build" ? { size: "" } : {};
    readTravel(null);
    see({ [name]: event.target.value, ...more });
    history.replaceState(null, "", link(state.room));
  };
  const now = state.view[name];
  return html`<label class="cell"><span>${label}</span><select onChange=${pick} name=${name} value=${now}>
    ${choices.map(([value, text]) => html`<option value=${value}>${text}</option>`)}</select></label>`;
}

/** The title block: which bike, build, size and state. */
function Title() {
  const { welcome, screen, draft } = state;
  if (!welcome) return null;
  const bike = welcome.bike;
  return html`<header class="title">
    <div class="cell name"><span>${bike.maker || "bike"}</span><b>${bike.name}</b>${bike.revision ? html` <i>${bike.revision}</i>` : ""}</div>
    <${Choose} name="build" label="build" choices=${(draft ? draft.builds : welcome.builds.map((b) => b.name)).map((b) => [b, b])} />
    <${Choose} name="size" label="size" choices=${welcome.sizes.map((s) => [s, s])} />
    <${Choose} name="state" label="state" choices=${Object.entries(welcome.states)} />
    <div class="cell pinned"><span>pinned</span><b>${screen && screen.before ? screen.before.title : "–"}</b></div>
    <nav aria-label="rooms">${ROOMS.map(([name, word]) => html`<a href=${link(name)} aria-current=${name === state.room ? "page" : undefined}>${word}</a>`)}</nav>
  </header>`;
}

/** One line for what went wrong and what was done. */
function Notice() {
  const { line, trouble, said, unsent, draft } = state;
  const words = [];
  if (line === "lost") words.push(html`<span class="lost">The server does not answer. What you typed stays, and is sent when it is back${unsent ? ` (${unsent} waiting)` : ""}.</span>`);
  if (trouble) words.push(html`<span class="trouble">${trouble.text}</span>`);
  if (said) words.push(html`<span>${said}</span>`);
  if (draft && draft.trouble) words.push(html`<span class="trouble">${draft.trouble}</span>`);
  for (const c of (draft && draft.conflicts) || []) words.push(html`<span class="trouble">${c.address}: the files say ${c.disk}, the screen ${c.screen}; both are kept.</span>`);
  for (const p of (draft && draft.parked) || []) words.push(html`<span class="trouble">Set aside, as the files do not take it now: ${p.changes.join(", ")}. ${p.why}</span>`);
  return html`<div class="notice" role="status" aria-live="polite">${words}</div>`;
}

/** The curves that the bike's room shows, chosen by their names. */
function Chooser() {
  const { view } = state;
  const all = allCurves();
  const add = (/** @type {any} */ event) => {
    event.preventDefault();
    const field = event.target.elements.address;
    if (field.value.trim() && !view.curves.includes(field.value.trim())) pick(field.value.trim())();
    field.value = "";
  };
  const pick = (/** @type {string} */ address) => () => {
    const next = view.curves.includes(address) ? view.curves.filter((c) => c !== address) : [...view.curves, address];
    remember("curves", next);
    see({});
  };
  return html`<details class="chooser"><summary>choose curves</summary><div>${offered().map((q) => html`<label class="tick">
    <input type="checkbox" checked=${view.curves.includes(q.key)} onChange=${pick(q.key)} /> ${q.label}</label>`)}
    ${view.curves.filter((c) => !all.includes(c)).map((c) => html`<label class="tick"><input type="checkbox" checked onChange=${pick(c)} /> ${c}</label>`)}
    <form onSubmit=${add}><label>of one gear or pin <input name="address" placeholder="anti_squat_pct/32x51" /></label> <button type="submit">add</button></form></div></details>`;
}

function BikeRoom() {
  const dims = () => {
    state.dimensions = !state.dimensions;
    set({ dimensions: state.dimensions });
    see({});
  };
  return html`<div class="split"><div class="main">
      <${Stage} />
      <div class="under"><${Key} /><label class="tick"><input type="checkbox" checked=${state.dimensions} onChange=${dims} /> dimensions</label><${Scrubber} /></div>
      <${Point} />
      <${Charts} addresses=${state.view.curves} />
      <${Chooser} />
    </div><${Change} /></div>`;
}

function CurvesRoom() {
  return html`<div class="split curves"><div class="main"><${Charts} addresses=${state.view.curves} /></div>
    <aside class="change"><${Stage} still=${true} /><${Key} /><${Scrubber} /><${Readings} /></aside></div>`;
}

const VIEWS = /** @type {Record<string, () => import("./vendor/preact-htm.js").Drawn>} */ ({
  bike: BikeRoom, curves: CurvesRoom, figures: FiguresRoom, sizes: Sizes, brief: Brief, parts: Parts, versions: Versions, range: RangeRoom, fit: FitRoom, setup: SetupRoom,
});

function Desk() {
  if (!state.welcome) {
    const words = state.trouble ? state.trouble.text : state.line === "lost" ? "The server does not answer. It is asked again." : "The bike is on its way.";
    return html`<p class="first" role="status">${words}</p>`;
  }
  const Room = VIEWS[state.room];
  return html`<${Title} /><${Notice} /><main key=${state.room}><${Room} /></main>
    <footer><button type="button" onClick=${() => setTheme(isDusk() ? "paper" : "dusk")}>${isDusk() ? "paper" : "dusk"}</button>
      <a href=${twin(state.room)} onClick=${openTwin}>this as JSON</a>
      <button type="button" onClick=${save}>save as one HTML file</button>
      <button type="button" onClick=${() => print()}>print</button>
      <button type="button" aria-expanded=${Boolean(state.invitation)} onClick=${invite}>another machine</button></footer><${Invitation} />`;
}

/** Save the bike as one file that opens from disk. */
async function save() {
  const { view } = state;
  try {
    const name = `${state.welcome ? state.welcome.bike.name : "bike"}-${view.build}-${view.size}.html`.replace(/[^\w.-]+/g, "-");
    await handOver(`/export.html?${new URLSearchParams({ build: view.build, size: view.size, state: view.state })}`, name);
  } catch (error) {
    refuse(error);
  }
}

/** Let another machine in: a code to be read by its camera. */
async function invite() {
  if (state.invitation) return set({ invitation: null });
  try {
    const answer = await asked("/lan/invite", { method: "POST" });
    if (answer.ok) set({ invitation: await answer.json() });
    else refuse(await answer.text());
  } catch (error) {
    refuse(error);
  }
  return undefined;
}

/** The code, as the picture that the server drew. */
function Invitation() {
  const { invitation } = state;
  if (!invitation) return null;
  const picture = (/** @type {Element | null} */ host) => {
    if (!host || host.firstChild) return;
    const drawn = new DOMParser().parseFromString(invitation.svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '), "image/svg+xml").documentElement;
    const plain = svg("svg", { viewBox: drawn.getAttribute("viewBox") || `0 0 ${drawn.getAttribute("width")} ${drawn.getAttribute("height")}`, role: "img", "aria-label": "code to read with a camera", class: "code" }, host);
    for (const part of drawn.querySelectorAll("path, rect, g")) if (part.tagName !== "g") {
      const shape = svg(part.tagName, {}, plain);
      for (const name of ["d", "width", "height", "x", "y", "fill", "stroke", "transform"]) {
        const at = part.getAttribute(name) || /** @type {Element} */ (part.parentNode).getAttribute(name);
        if (at) shape.setAttribute(name, at);
      }
    }
  };
  return html`<section class="invitation" aria-label="another machine"><div ref=${picture}></div>
    <p>${invitation.warning}</p><p><code>${invitation.address}</code></p></section>`;
}

let drawn = false;
/** Draw the page once for all that changed in this frame. */
function redraw() {
  if (drawn) return;
  drawn = true;
  requestAnimationFrame(() => {
    drawn = false;
    render(html`<${Desk} />`, /** @type {Element} */ (document.getElementById("desk")));
  });
}

addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const inField = /** @type {Element} */ (event.target).matches("input:not([type=checkbox]):not([type=range]), textarea");
  const key = event.key.toLowerCase();
  if (inField || (key !== "z" && key !== "y")) return;
  event.preventDefault();
  settle();
  order(key === "y" || event.shiftKey ? "redo" : "undo");
});
addEventListener("hashchange", route);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => setTheme(state.theme));

document.getElementById("desk")?.replaceChildren();
let troubleDrawn = /** @type {State["trouble"]} */ (null);
listen((what) => {
  const { draft, view } = state;
  // a build that was taken out, here or in another window, gives way to the first
  if (what.includes("draft") && draft && view.build && !draft.builds.includes(view.build)) see({ build: draft.builds[0], size: "" });
  // while a point is held, drawing and curves paint themselves; the rest of the page waits for the list that follows
  if (state.trying && what.includes("good") && state.trouble === troubleDrawn) return;
  troubleDrawn = state.trouble;
  redraw();
});
setTheme(recalled("theme", ""));
arrive().then((trouble) => {
  if (trouble) refuse(trouble);
  route();
  connect({ screen: screenCame, consequences: consequencesCame, welcomed: () => set({ view: { ...look(), travel: false } }) });
});
// for the tests of the page: the line can be cut as a fault would cut it; busy while something is asked for or not drawn yet
/** @type {any} */ (globalThis).bikewright = { state, drop, busy: () => busy() || drawn || listTimer !== 0 || fetching() };
