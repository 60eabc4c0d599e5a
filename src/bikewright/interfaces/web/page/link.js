// The line to the server: one socket, at most one question under way while dragging, the latest wins.
//
// Made changes carry an id of their own and stay in the session's storage until the server has answered them, so that
// a line lost for a minute, or a page loaded anew, loses nothing: they are sent again, and the server takes each once.

import { token } from "./keys.js";
import { set, state } from "./store.js";

const QUEUE = "bikewright.unsent";
const WAITS = [200, 400, 800, 1600, 3000, 5000];
const VERSION = 1;

/** @returns {string} a random name; crypto.randomUUID is absent on plain http */
function randomName() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

const me = randomName();
let made = 0;
let number = 0;
let tries = 0;
/** @type {WebSocket | null} */
let socket = null;
let timer = 0;
/** number of the question under way that may be overtaken; 0 for none */
let asking = 0;
/** number of the last deed whose screen is still to come; 0 for none */
let due = 0;
/** @type {[string, any] | null} the question that waits for it */
let waiting = null;
/** @type {Map<number, {verb: string, id: string, changes: string[]}>} */
const open = new Map();
/** screens that are wanted beside what the window shows, one after the other @type {{view: import("./types.js").View, resolve: (screen: import("./types.js").Screen | null) => void}[]} */
let peeks = [];
/** number of the first of them, once it is asked; 0 before */
let peeking = 0;
/** numbers of those that were answered: the lists that follow them are not this window's @type {Set<number>} */
const peeked = new Set();
/** pinned builds that were drawn lately, by the mark that screens of them carry: each is sent once @type {Map<string, {before: any, curves: Map<string, any>}>} */
const baselines = new Map();
const MOST_BASELINES = 8;
/** who waits to hear what came of a deed, by its identity @type {Map<string, (taken: boolean) => void>} */
const askers = new Map();
/** those whose deed was taken, and whose screen is still to come @type {{n: number, tell: (taken: boolean) => void}[]} */
let taken = [];
/** whether the server was asked last for something beside what this window shows */
let astray = false;
/** what must not be lost: verb and body with its identity @type {[string, any][]} */
let unsent = recall();
/** called with every screen before anything else is drawn @type {(screen: any) => void} */
let onScreen = () => {};
/** called with the list that follows a screen @type {(told: any) => void} */
let onConsequences = () => {};
/** called when a line is open, before anything is asked on it */
let onWelcome = () => {};

/** @returns {[string, any][]} */
function recall() {
  try {
    return JSON.parse(sessionStorage.getItem(QUEUE) || "[]");
  } catch {
    return [];
  }
}

function store() {
  try {
    sessionStorage.setItem(QUEUE, JSON.stringify(unsent));
  } catch {
    // no storage: the queue lives as long as the page
  }
  if (state.unsent !== unsent.length) set({ unsent: unsent.length });
}

/** @param {{screen: (screen: any) => void, consequences: (told: any) => void, welcomed: () => void}} hear */
export function connect(hear) {
  onScreen = hear.screen;
  onConsequences = hear.consequences;
  onWelcome = hear.welcomed;
  join();
  addEventListener("online", () => lostOrJoin());
}

function lostOrJoin() {
  if (!socket || socket.readyState > 1) join();
}

function join() {
  clearTimeout(timer);
  const scheme = location.protocol === "https:" ? "wss" : "ws";
  const mine = new WebSocket(`${scheme}://${location.host}/socket`);
  socket = mine;
  mine.onopen = () => mine.send(JSON.stringify({ hello: { version: VERSION, token: token(), window: me } }));
  mine.onmessage = (event) => socket === mine && receive(JSON.parse(event.data));
  mine.onclose = () => {
    if (socket !== mine) return;
    socket = null;
    asking = 0;
    due = 0;
    waiting = null;
    open.clear();
    peeked.clear();
    for (const one of peeks) one.resolve(null);
    [peeks, peeking] = [[], 0];
    come(Infinity);
    set({ line: "lost" });
    const wait = WAITS[Math.min(tries, WAITS.length - 1)];
    tries += 1;
    timer = setTimeout(join, wait * (0.8 + 0.4 * Math.random()));
  };
}

/**
 * A screen as it was before it was packed for the line: places that curves share, and the pinned build where this page has it.
 * @param {any} screen
 */
function unpack(screen) {
  for (const curve of screen.curves) {
    for (const one of [curve.now, curve.before]) if (one && typeof one.x === "number") one.x = screen.xs[one.x];
  }
  const held = baselines.get(screen.baseline);
  if (screen.before === "held") {
    screen.before = held ? held.before : null;
    for (const curve of screen.curves) curve.before = (held && held.curves.get(curve.address)) || null;
    return;
  }
  baselines.delete(screen.baseline);
  baselines.set(screen.baseline, { before: screen.before, curves: new Map(screen.curves.map((/** @type {any} */ c) => [c.address, c.before])) });
  if (baselines.size > MOST_BASELINES) baselines.delete(/** @type {string} */ (baselines.keys().next().value));
}

/** @param {any} message */
function receive(message) {
  if (message.welcome) {
    tries = 0;
    welcome(message.welcome);
  } else if (message.screen) {
    const screen = message.screen;
    unpack(screen);
    const wanted = peeking !== 0 && screen.n === peeking;
    if (screen.n >= due) due = 0;
    if (wanted) peekedAt(screen);
    answered(screen.n);
    if (!wanted) {
      onScreen(screen);
      come(screen.n);
    }
  } else if (message.consequences) {
    if (!peeked.has(message.consequences.n)) onConsequences(message.consequences);
  } else if (message.sizes) {
    set({ sizes: message.sizes });
  } else if (message.done) {
    const done = message.done;
    answered(done.n, true);
    const words = { keep: `Kept as ${done.version}.`, write: done.files && done.files.length ? `Written: ${done.files.join(", ")}.` : "The files say this already.", pin: "Pinned." };
    set({ draft: done.draft, deeds: state.deeds + 1, said: /** @type {Record<string, string>} */ (words)[done.what] || "" });
  } else if (message.changed) {
    set({ draft: message.changed.draft, deeds: state.deeds + 1, said: message.changed.by === "disk" ? "The files were changed on disk." : "Changed in another window." });
  } else if (message.trouble) {
    const asked = open.get(message.trouble.n);
    const deed = asked && asked.id !== "";
    if (message.trouble.n >= due) due = 0;
    if (peeking && message.trouble.n === peeking) {
      peekedAt(null);
      answered(message.trouble.n);
      return;
    }
    answered(message.trouble.n);
    if (!state.screen && message.trouble.pose) set({ good: message.trouble.pose });
    set({ trouble: { ...message.trouble, deed, changes: (asked && asked.changes) || [] }, said: "" });
    come(message.trouble.n);
    // a change that was not taken leaves the draft as it was, and the drawing goes back to it
    if (deed) show();
  }
}

/** @param {import("./types.js").Welcome} greeting */
function welcome(greeting) {
  const view = { ...state.view };
  if (!greeting.builds.some((b) => b.name === view.build)) {
    view.build = greeting.builds[0].name;
    view.size = "";
  }
  if (!(view.state in greeting.states)) view.state = Object.keys(greeting.states)[0];
  set({ welcome: greeting, draft: greeting.draft, view, line: "open" });
  onWelcome();
  for (const [verb, body] of unsent) send(verb, { ...body, view: state.view });
  ask("show", { view: state.view });
}

/** The screen that was wanted beside the window's own came. @param {import("./types.js").Screen | null} screen */
function peekedAt(screen) {
  peeked.add(peeking);
  peeking = 0;
  const one = peeks.shift();
  if (one) one.resolve(screen);
}

/** A screen has come, or why there is none: what was made until then is shown. @param {number} n its number */
function come(n) {
  const shown = taken.filter((one) => one.n <= n);
  taken = taken.filter((one) => one.n > n);
  for (const { tell } of shown) tell(true);
}

/**
 * @param {number} n the question that was answered; those before it that can be overtaken will not be
 * @param {boolean} [isDone] whether it was a deed that was done
 */
function answered(n, isDone = false) {
  const one = open.get(n);
  open.delete(n);
  for (const [m, other] of open) if (m < n && !other.id) open.delete(m);
  // a wanted screen that was overtaken is asked for again
  if (peeking && peeking < n) peeking = 0;
  if (one && one.id) {
    unsent = unsent.filter(([, body]) => body.id !== one.id);
    store();
    const tell = askers.get(one.id);
    askers.delete(one.id);
    if (tell && isDone) taken.push({ n, tell });
    else if (tell) tell(false);
  }
  if (n >= asking) {
    asking = 0;
    if (waiting) {
      const [verb, body] = waiting;
      waiting = null;
      ask(verb, body);
    } else look();
  }
}

/** When nothing else is under way, ask for the next screen that is wanted beside the window's own, and at last for that. */
function look() {
  if (asking || peeking) return;
  if (peeks.length) {
    peeking = send("show", { view: peeks[0].view });
    asking = peeking;
    astray = true;
  } else if (astray) show();
}

/** @param {string} verb @param {any} body @returns {number} */
function send(verb, body) {
  if (!socket || socket.readyState !== 1) return 0;
  number += 1;
  if (body.id) due = number;
  open.set(number, { verb, id: body.id || "", changes: body.changes || [] });
  socket.send(JSON.stringify({ [verb]: { n: number, ...body } }));
  return number;
}

/** Ask what may be overtaken by the next question. @param {string} verb @param {any} body */
function ask(verb, body) {
  if (asking) waiting = [verb, body];
  else {
    astray = false;
    asking = send(verb, body);
  }
}

/** @returns {boolean} whether a question is under way */
export const busy = () => asking !== 0 || due !== 0 || open.size > 0 || peeks.length > 0;

/** Show what this window looks at. */
export function show() {
  ask("show", { view: state.view });
}

/** A screen of something else, beside what this window shows; null where there is none. @param {import("./types.js").View} view @returns {Promise<import("./types.js").Screen | null>} */
export function peek(view) {
  return new Promise((resolve) => {
    if (!socket || socket.readyState !== 1) {
      resolve(null);
      return;
    }
    peeks.push({ view, resolve });
    look();
  });
}

/** Show what would follow; nothing is kept. @param {string[]} changes */
export function attempt(changes) {
  if (state.trouble && state.trouble.deed) set({ trouble: null });
  const have = state.screen ? state.screen.baseline : "";
  ask("try", { changes, view: { ...state.view, travel: false }, ...(baselines.has(have) ? { have } : {}) });
}

/**
 * Change the draft.
 * @param {string[]} changes
 * @param {boolean} [rounded] whether lengths are rounded to 0.01 mm, as by hand
 * @returns {Promise<boolean>} as of `order`
 */
export const make = (changes, rounded = false) => order("make", { changes, rounded });

/**
 * Make, undo, redo, pin, keep, open, write: each with an identity, so that it is done once however often it is sent.
 * @param {string} verb @param {any} [body]
 * @returns {Promise<boolean>} false once it is refused, true once what came of it is shown
 */
export function order(verb, body = {}) {
  made += 1;
  const one = { ...body, id: `${me}:${made}` };
  unsent = [...unsent, [verb, one]];
  waiting = null;
  if (state.trouble || state.said) set({ trouble: null, said: "" });
  store();
  return new Promise((resolve) => {
    askers.set(one.id, resolve);
    send(verb, { ...one, view: state.view });
  });
}

/** Close the line, as a fault would: for tests of the page. */
export function drop() {
  if (socket) socket.close();
}
