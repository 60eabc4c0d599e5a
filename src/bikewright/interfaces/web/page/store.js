// What the page knows: one object, changed in one place, and those who want to hear of it.

/** @typedef {import("./types.js").View} View */

/** curves that the bike's room shows until others are chosen */
export const FEW_CURVES = ["leverage_ratio", "anti_squat_pct", "rear_force_n"];

/** @type {import("./types.js").State} */
export const state = {
  /** the server's first answer: bike, builds, sizes, states, catalogue */
  welcome: null,
  /** the last screen that could be drawn */
  screen: null,
  /** whether the last screen answers a change that is not made yet */
  trying: false,
  /** the comparison over all sizes */
  sizes: null,
  draft: null,
  /** the build looked at as tables, for forms */
  model: null,
  /** the last pose that could be drawn */
  good: null,
  /** poses through the travel, of the build whose key it has */
  travel: { key: "", poses: [] },
  /** {text, kind, place} of the last refused request, or null */
  trouble: null,
  /** what was just done, for the status line */
  said: "",
  /** "joining", "open" or "lost" */
  line: "joining",
  unsent: 0,
  /** how often the server told that something was done: what a room fetched before is not the newest any more */
  deeds: 0,
  /** which point of the drawing is chosen */
  chosen: "",
  /** position in the travel that is shown, or null for the state itself */
  scrub: null,
  /** @type {View} */
  view: { build: "", size: "", state: "table", curves: ["leverage_ratio", "anti_squat_pct"], values: false, travel: false, sizes: false },
  dimensions: false,
  /** a code that lets another machine in, while it is shown */
  invitation: null,
  compare: [],
  ride: {
    rider: "", against: "", sag_front: "", sag_rear: "", base: "", want: "", outlines: "", population: "", women_pct: "", list: "", bound: "", own: "", for: "",
    rule: "", of: "", keep: "", step: "", within: "", cap: "", old: "", old_build: "",
  },
  room: "bike",
  theme: "",
};

/** @type {Set<(what: string[]) => void>} */
const listeners = new Set();

/** @param {(what: string[]) => void} listener @returns {() => void} how to stop listening */
export function listen(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** @param {Partial<import("./types.js").State>} changes */
export function set(changes) {
  Object.assign(state, changes);
  const what = Object.keys(changes);
  for (const listener of listeners) listener(what);
}

/** Say why something outside of the draft was not done, where all refusals stand. @param {unknown} why */
export function refuse(why) {
  set({ trouble: { text: (why instanceof Error ? why.message : String(why)).trim(), place: null, deed: true, changes: [] }, said: "" });
}

/** @param {string} name @param {any} fallback @returns {any} */
export function recalled(name, fallback) {
  try {
    const text = localStorage.getItem("bikewright." + name);
    return text === null ? fallback : JSON.parse(text);
  } catch {
    return fallback;
  }
}

/** @param {string} name @param {any} value */
export function remember(name, value) {
  try {
    localStorage.setItem("bikewright." + name, JSON.stringify(value));
  } catch {
    // a window without storage forgets, no more
  }
}
