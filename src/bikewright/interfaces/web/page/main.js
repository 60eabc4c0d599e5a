// The workbench: rooms by deep link, keys, theme, and what is asked of the server for each of them.

import { Change } from "./change.js";
import { readTones } from "./curves.js";
import { settle } from "./hands.js";
import { busy, connect, drop, order, show } from "./link.js";
import { Brief, FiguresRoom, Parts, Sizes, Versions, twin } from "./rooms.js";
import { Charts, Key, Point, Readings, Scrubber, Stage } from "./stage.js";
import { listen, recalled, remember, set, state } from "./store.js";
import { html, render } from "./vendor/preact-htm.js";

const ROOMS = /** @type {[string, string][]} */ ([
  ["bike", "Bike"], ["curves", "Curves"], ["figures", "Figures"], ["sizes", "Sizes"], ["brief", "Brief"], ["parts", "Parts"], ["versions", "Versions"],
]);
const FEW = ["leverage_ratio", "anti_squat_pct", "rear_wheel_force_n"];
const TRAVEL_WAIT_MS = 250;

let travelTimer = 0;

/** @returns {string[]} every curve that the catalogue has */
const allCurves = () => ((state.welcome && state.welcome.catalogue.curves) || []).map((/** @type {any} */ c) => c.address);

/** What the room that is open needs to be shown. */
function look() {
  const all = allCurves();
  const few = recalled("curves", FEW.filter((c) => all.includes(c)));
  const curves = state.room === "curves" ? all : ["bike"].includes(state.room) ? few : [];
  const values = state.room === "figures" || state.dimensions;
  return { ...state.view, curves, values };
}

/** @param {Record<string, any>} changes */
export function see(changes) {
  Object.assign(state.view, changes);
  set({ view: { ...look(), travel: false } });
  if (state.welcome) show();
}

/** A screen came. @param {any} screen */
function screenCame(screen) {
  clearTimeout(travelTimer);
  const changes = /** @type {Record<string, any>} */ ({ screen, trouble: screen.trouble ? { text: screen.trouble, place: screen.place || null } : null });
  if (screen.pose) changes.good = screen.pose;
  if (screen.draft) changes.draft = screen.draft;
  if (screen.travel.length) changes.travel = { key: screen.build.key, poses: screen.travel };
  else if (!screen.pose || !screen.pose.bodies.length) changes.travel = { key: screen.build.key, poses: [] };
  if (screen.sizes) changes.sizes = { comparisons: screen.sizes };
  if (!state.view.size) state.view.size = screen.build.size;
  set(changes);
  travelTimer = setTimeout(askTravel, TRAVEL_WAIT_MS);
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
  const asked = new URLSearchParams(query || "");
  for (const name of ["build", "size", "state"]) if (asked.has(name)) state.view[name] = asked.get(name);
  set({ room: known ? path : "bike", scrub: null });
  see({});
  document.title = `${known ? ROOMS.find(([n]) => n === path)?.[1] : "Bike"}, bikewright`;
}

/** The deep link of what is shown. @param {string} room @returns {string} */
function link(room) {
  const { view } = state;
  const asked = new URLSearchParams();
  for (const name of ["build", "size", "state"]) if (/** @type {any} */ (view)[name]) asked.set(name, /** @type {any} */ (view)[name]);
  return `#/${room}?${asked}`;
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

function Choose({ name, label, choices }) {
  const pick = (/** @type {any} */ event) => {
    settle();
    const more = name === "build" ? { size: "" } : {};
    if (state.scrub !== null) set({ scrub: null });
    see({ [name]: event.target.value, ...more });
    history.replaceState(null, "", link(state.room));
  };
  const now = /** @type {any} */ (state.view)[name];
  return html`<label class="cell"><span>${label}</span><select onChange=${pick} name=${name}>
    ${choices.map(([value, text]) => html`<option value=${value} selected=${value === now}>${text}</option>`)}</select></label>`;
}

/** The title block: which bike, build, size and state. */
function Title() {
  const { welcome, screen } = state;
  const bike = welcome.bike;
  return html`<header class="title">
    <div class="cell name"><span>${bike.maker || "bike"}</span><b>${bike.name}</b>${bike.revision ? html` <i>${bike.revision}</i>` : ""}</div>
    <${Choose} name="build" label="build" choices=${welcome.builds.map((/** @type {any} */ b) => [b.name, b.name])} />
    <${Choose} name="size" label="size" choices=${welcome.sizes.map((/** @type {any} */ s) => [s, s])} />
    <${Choose} name="state" label="state" choices=${welcome.states.map((/** @type {any} */ s) => [s.key, s.text])} />
    <div class="cell pinned"><span>pinned</span><b>${screen && screen.before ? screen.before.title : "–"}</b></div>
    <nav aria-label="rooms">${ROOMS.map(([name, word]) => html`<a href=${link(name)} aria-current=${name === state.room ? "page" : undefined}>${word}</a>`)}</nav>
  </header>`;
}

/** One line for what went wrong and what was done. */
function Notice() {
  const { line, trouble, said, unsent, screen } = state;
  const words = [];
  if (line === "lost") words.push(html`<span class="lost">The server does not answer. What you typed stays, and is sent when it is back${unsent ? ` (${unsent} waiting)` : ""}.</span>`);
  if (trouble) words.push(html`<span class="trouble">${trouble.text}</span>`);
  if (said) words.push(html`<span>${said}</span>`);
  if (screen && screen.conflict) words.push(html`<span class="trouble">${screen.conflict.text || screen.conflict}</span>`);
  return html`<div class="notice" role="status" aria-live="polite">${words}</div>`;
}

/** The curves that the bike's room shows, chosen by their names. */
function Chooser() {
  const { welcome, view } = state;
  const pick = (/** @type {string} */ address) => () => {
    const next = view.curves.includes(address) ? view.curves.filter((c) => c !== address) : [...view.curves, address];
    remember("curves", next);
    see({});
  };
  return html`<details class="chooser"><summary>choose curves</summary><div>${welcome.catalogue.curves.map((/** @type {any} */ c) => html`<label class="tick">
    <input type="checkbox" checked=${view.curves.includes(c.address)} onChange=${pick(c.address)} /> ${c.label}</label>`)}</div></details>`;
}

function BikeRoom() {
  const dims = () => {
    state.dimensions = !state.dimensions;
    set({ dimensions: state.dimensions });
    see({});
  };
  return html`<div class="split"><div class="main">
      <${Stage} />
      <div class="under"><${Key} /><${Scrubber} /><label class="tick"><input type="checkbox" checked=${state.dimensions} onChange=${dims} /> dimensions</label></div>
      <${Point} />
      <${Charts} addresses=${state.view.curves} />
      <${Chooser} />
    </div><${Change} /></div>`;
}

function CurvesRoom() {
  return html`<div class="split curves"><div class="main"><${Charts} addresses=${state.view.curves} /></div>
    <aside class="change"><${Stage} still=${true} /><${Key} /><${Scrubber} /><${Readings} /></aside></div>`;
}

const VIEWS = /** @type {Record<string, any>} */ ({ bike: BikeRoom, curves: CurvesRoom, figures: FiguresRoom, sizes: Sizes, brief: Brief, parts: Parts, versions: Versions });

function Desk() {
  if (!state.welcome) {
    return html`<p class="first" role="status">${state.line === "lost" ? "The server does not answer. It is asked again." : "The bike is on its way."}</p>`;
  }
  const Room = VIEWS[state.room];
  return html`<${Title} /><${Notice} /><main key=${state.room}><${Room} /></main>
    <footer><button type="button" onClick=${() => setTheme(isDusk() ? "paper" : "dusk")}>${isDusk() ? "paper" : "dusk"}</button>
      <a href=${twin(state.room)}>this as JSON</a>
      <button type="button" onClick=${save}>save as one HTML file</button>
      <button type="button" onClick=${() => print()}>print</button></footer>`;
}

/** Save the bike as one file that opens from disk. */
async function save() {
  const { download } = await import("./export.js");
  await download(state);
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
listen(redraw);
setTheme(recalled("theme", ""));
route();
connect(screenCame);
// for the tests of the page: the line can be cut as a fault would cut it
/** @type {any} */ (globalThis).bikewright = { state, drop };
