// The line to the server: one socket, at most one question under way while dragging, the latest wins.
//
// Made changes carry an id of their own and stay in the session's storage until the server has answered them, so that
// a line lost for a minute, or a page loaded anew, loses nothing: they are sent again, and the server takes each once.

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
let last = 0;
/** @type {WebSocket | null} */
let socket = null;
let timer = 0;
/** number of the question under way that may be overtaken; 0 for none */
let asking = 0;
/** @type {[string, any] | null} the question that waits for it */
let waiting = null;
/** @type {Map<number, {verb: string, id: string}>} */
const open = new Map();
/** @type {{id: string, changes: string[]}[]} */
let unsent = recall();
/** called with every screen before anything else is drawn @type {(screen: any) => void} */
let onScreen = () => {};

/** @returns {{id: string, changes: string[]}[]} */
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

/** @returns {string} */
export function token() {
  const meta = document.querySelector("meta[name=bikewright-token]");
  return (meta && meta.getAttribute("content")) || "";
}

/** @param {(screen: any) => void} screen */
export function connect(screen) {
  onScreen = screen;
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
  mine.onopen = () => mine.send(JSON.stringify({ hello: { version: VERSION, token: token(), window: me, since: last } }));
  mine.onmessage = (event) => socket === mine && receive(JSON.parse(event.data));
  mine.onclose = () => {
    if (socket !== mine) return;
    socket = null;
    asking = 0;
    waiting = null;
    open.clear();
    set({ line: "lost" });
    const wait = WAITS[Math.min(tries, WAITS.length - 1)];
    tries += 1;
    timer = setTimeout(join, wait * (0.8 + 0.4 * Math.random()));
  };
}

/** @param {any} message */
function receive(message) {
  if (message.welcome) {
    tries = 0;
    welcome(message.welcome);
  } else if (message.screen) {
    last = Math.max(last, message.screen.n || 0);
    answered(message.screen.n);
    onScreen(message.screen);
  } else if (message.trouble) {
    answered(message.trouble.n);
    set({ trouble: message.trouble, said: "" });
  } else if (message.sizes) {
    set({ sizes: message.sizes });
  } else if (message.changed) {
    set({ draft: message.changed.draft || state.draft, said: message.changed.by === "disk" ? "The files changed on disk." : "Changed in another window." });
    show();
  } else if (message.done) {
    answered(message.done.n);
    set({ draft: message.done.draft || state.draft, said: message.done.text || "", trouble: null });
  }
}

/** @param {any} greeting */
function welcome(greeting) {
  const view = { ...state.view };
  if (!greeting.builds.some((/** @type {any} */ b) => b.name === view.build)) {
    view.build = (greeting.draft && greeting.draft.build) || greeting.builds[0].name;
    view.size = "";
  }
  if (!greeting.states.some((/** @type {any} */ s) => s.key === view.state)) view.state = greeting.states[0].key;
  set({ welcome: greeting, draft: greeting.draft, view, line: "open" });
  for (const one of unsent) send("make", { ...one, view: state.view });
  ask("show", { view: state.view });
}

/** @param {number} n the question that was answered */
function answered(n) {
  const one = open.get(n);
  open.delete(n);
  if (one && one.verb === "make") {
    unsent = unsent.filter((u) => u.id !== one.id);
    store();
  }
  if (n >= asking) {
    asking = 0;
    if (waiting) {
      const [verb, body] = waiting;
      waiting = null;
      ask(verb, body);
    }
  }
}

/** @param {string} verb @param {any} body @returns {number} */
function send(verb, body) {
  if (!socket || socket.readyState !== 1) return 0;
  number += 1;
  open.set(number, { verb, id: body.id || "" });
  socket.send(JSON.stringify({ [verb]: { n: number, ...body } }));
  return number;
}

/** Ask what may be overtaken by the next question. @param {string} verb @param {any} body */
function ask(verb, body) {
  if (asking) waiting = [verb, body];
  else asking = send(verb, body);
}

/** @returns {boolean} whether a question is under way */
export const busy = () => asking !== 0 || open.size > 0;

/** Show what this window looks at. */
export function show() {
  ask("show", { view: state.view });
}

/** Show what would follow; nothing is kept. @param {string[]} changes */
export function attempt(changes) {
  ask("try", { changes, view: { ...state.view, travel: false } });
}

/** Change the draft. @param {string[]} changes */
export function make(changes) {
  made += 1;
  const one = { id: `${me}:${made}`, changes };
  unsent = [...unsent, one];
  waiting = null;
  store();
  send("make", { ...one, view: state.view });
}

/** Undo, redo, pin, keep, open, write: not repeated after a lost line. @param {string} verb @param {any} [body] */
export function order(verb, body = {}) {
  waiting = null;
  send(verb, { ...body, view: state.view });
}

/** Close the line, as a fault would: for tests of the page. */
export function drop() {
  if (socket) socket.close();
}
