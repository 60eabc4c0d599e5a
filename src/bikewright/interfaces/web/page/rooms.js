// The rooms beside the bike: sizes, figures, parts and riders; and what rooms are made of.

import { Change, slotsOf } from "./change.js";
import { Drawing } from "./drawing.js";
import { Entry, Values, against, leaves, quantity, symbol, worded } from "./fields.js";
import { hands, settle, valueAt } from "./hands.js";
import { openTwin, read } from "./keys.js";
import { make, peek } from "./link.js";
import { Shelf } from "./shelf.js";
import { set, state } from "./store.js";
import { Table } from "./table.js";
import { html, useEffect, useLayoutEffect, useRef, useState } from "./vendor/preact-htm.js";

const TWINS = /** @type {Record<string, string>} */ ({
  bike: "comparison", curves: "curves", figures: "answer", sizes: "sizes", brief: "brief", parts: "parts", versions: "versions", range: "coverage", fit: "fit", setup: "setup",
});
/** what the deep link of a room names besides build, size and state */
export const ASKED = /** @type {Record<string, (keyof import("./types.js").Ride)[]>} */ ({
  fit: ["rider", "want"],
  setup: ["rider", "against", "sag_front", "sag_rear", "base"],
  range: ["outlines", "population", "women_pct", "list", "bound", "own", "for", "rule", "of", "keep", "step", "within", "cap", "old", "old_build"],
});
/** what may be named several times in a question, and stands in one text with this between */
const SEVERAL = ["bound", "own", "for", "step"];
/** how long an answer may take before it is said how far it is */
const TOLD_AFTER_MS = 2000;
const STOPPED = "Stopped.";
/** what a section says while what is wrong stands at a field above it */
export const NOT_ASKED = "Not asked: a field above is refused.";
/** how many documents are on their way */
let underWay = 0;
/** @returns {boolean} whether a room still waits for one */
export const fetching = () => underWay > 0;
/** settings that are left out of what the server tells while nobody has given them */
const MAY_BE_UNKNOWN = ["saddle_height_mm", "fork_pressure_bar", "shock_pressure_bar", "front_tyre_bar", "rear_tyre_bar"];

/** What a choice of riders says of the build's own. @returns {string} */
export const ownRider = () => (state.model && state.model.rider ? `${state.model.rider.name}, the build's own` : "choose one");

/** What the window looks at, as a question. @returns {URLSearchParams} */
export function looking() {
  const { view } = state;
  const asked = new URLSearchParams({ build: view.build, state: view.state });
  if (view.size) asked.set("size", view.size);
  return asked;
}

/** Address of a room's JSON twin. @param {string} room @returns {string} */
export function twin(room) {
  const asked = looking();
  if (room === "fit" && state.ride.rider) asked.set("rider", state.ride.rider);
  if (room === "setup") riding(asked);
  if (room === "range") return `/coverage.json?${ofRange(["population", "women_pct", "list", "bound", "own", "for"])}`;
  if (room === "curves") for (const key of state.view.curves) asked.append("key", key);
  if (room === "versions" && state.compare.length > 1) {
    for (const name of state.compare) asked.append("of", name);
    return `/side-by-side.json?${asked}`;
  }
  return `/${TWINS[room]}.json?${asked}`;
}

/**
 * What comes of a question, asked anew whenever its address, the draft or the turn changes; only the last one is heard.
 * @template T
 * @param {string} address empty: none is asked
 * @param {typeof useEffect} effect
 * @param {number} turn
 * @param {(isWanted: () => boolean) => Promise<{status: number, told: any}>} fetched
 * @returns {{found: T | null, trouble: string, at: string, stop: () => void}} the last answer, why there is no newer one, at which field, and what gives the question up
 */
function useAnswer(address, effect, turn, fetched) {
  const [found, setFound] = useState(/** @type {T | null} */ (null));
  const [refused, setRefused] = useState({ error: "", at: "" });
  const stop = useRef(() => {});
  effect(() => {
    if (state.line !== "open" || !address) return undefined;
    let wanted = true;
    const refuse = (/** @type {string} */ error, /** @type {string} */ at = "") => wanted && setRefused({ error, at });
    fetched(() => wanted)
      .then(({ status, told }) => {
        if (wanted && status === 200) setFound(told);
        refuse(status === 200 ? "" : told.error, status === 200 ? "" : told.at);
      })
      .catch((error) => refuse(error.message));
    stop.current = () => {
      refuse(STOPPED);
      wanted = false;
    };
    return () => {
      wanted = false;
    };
  }, [address, state.deeds, state.line, turn]);
  return { found: address ? found : null, trouble: refused.error, at: refused.at, stop: () => stop.current() };
}

/**
 * A document of the server; with an empty address none.
 * @template T
 * @param {string} address
 * @returns {[T | null, string]} what was found, and why nothing was
 */
export function useDocument(address) {
  const { found, trouble } = useAnswer(address, useLayoutEffect, 0, () => {
    underWay += 1;
    return read(address).finally(() => {
      underWay -= 1;
    });
  });
  return [found, trouble];
}

/**
 * A document that takes seconds: how far it is is told, and the last one stays until the new one is there.
 * @template T
 * @param {string} address
 * @returns {[T | null, string, string, import("./types.js").Long]} what was found, why nothing was, how far it is, and what may be done
 */
export function useLong(address) {
  const [progress, setProgress] = useState("");
  const [turn, setTurn] = useState(0);
  const { found, trouble, at, stop } = useAnswer(address, useEffect, turn, async (isWanted) => {
    const begun = performance.now();
    setProgress("working");
    try {
      for (;;) {
        const answer = await read(address);
        if (!isWanted() || answer.status !== 202) return answer;
        if (performance.now() - begun > TOLD_AFTER_MS) setProgress(answer.told.told);
      }
    } finally {
      if (isWanted()) setProgress("");
    }
  });
  const giveUp = () => {
    // the server gives up a question that nobody asks any more
    stop();
    setProgress("");
  };
  return [found, trouble, progress, { at, stop: giveUp, again: () => setTurn(turn + 1) }];
}

/**
 * How far a long answer is, or why there is none; nothing is said in the first moment. What is refused at a field is said there.
 * @param {{found: unknown, trouble: string, progress: string, long: import("./types.js").Long}} props
 */
export function Progress({ found, trouble, progress, long }) {
  if (progress && progress !== "working") {
    return html`<p class="none" role="status">${found ? "Worked out anew; below is the last answer. " : ""}${progress} <button type="button" onClick=${long.stop}>stop</button></p>`;
  }
  if (trouble && !progress) {
    const told = long.at ? `${NOT_ASKED}${found ? " Below is the last answer." : ""}` : trouble;
    return html`<p class=${trouble === STOPPED ? "none" : "missed"} role="status">${told} ${trouble === STOPPED && html`<button type="button" onClick=${long.again}>ask again</button>`}</p>`;
  }
  return html`<p class="none" role="status">${found ? "" : "On its way."}</p>`;
}

/** What a section shows, as a document for a program. @param {{address: string, name: string}} props */
export const AsJson = ({ address, name }) => html`<a class="as-json" href=${address} aria-label=${`${name} as JSON`} onClick=${openTwin}>as JSON</a>`;

/** What is said of a field that is refused. @param {{long: import("./types.js").Long, at: string, trouble: string}} props @returns {string} */
export const refusedAt = ({ long, at, trouble }) => (long.at === at ? trouble : "");

/** Sentences below a table. @param {{notes: string[]}} props */
export const Sentences = ({ notes }) => html`${notes.map((note) => html`<p class="none">${note}</p>`)}`;

/** A choice of one of several. @param {{name: string, label: string, now: string, choices: [string, string][], tell: (value: string) => void}} props */
export const Choice = ({ name, label, now, choices, tell }) => html`<label>${label} <select name=${name} value=${now} onChange=${(/** @type {any} */ e) => tell(e.target.value)}>
  ${choices.map(([value, words]) => html`<option value=${value}>${words}</option>`)}</select></label>`;

/** Ask about something else, and say so in the address of the room. @param {Partial<import("./types.js").Ride>} changes */
export function ask(changes) {
  set({ ride: { ...state.ride, ...changes } });
  const [path, query] = location.hash.split("?");
  const asked = new URLSearchParams(query || "");
  for (const name of ASKED[state.room] || []) {
    if (state.ride[name]) asked.set(name, state.ride[name]);
    else asked.delete(name);
  }
  history.replaceState(null, "", `${path}?${asked}`);
}

/** Values that stand in one text. @param {string} text @returns {string[]} */
export const several = (text) => text.split(";").map((part) => part.trim()).filter(Boolean);

/** What is asked about a rider's set-up, laid on what the window looks at. @param {URLSearchParams} asked @returns {URLSearchParams} */
export function riding(asked) {
  for (const name of ASKED.setup) if (state.ride[name]) asked.set(name, state.ride[name]);
  return asked;
}

/** What is asked about all sizes of the build looked at. @param {(keyof import("./types.js").Ride)[]} names @returns {URLSearchParams} */
export function ofRange(names) {
  const asked = new URLSearchParams({ build: state.view.build });
  for (const name of names) for (const value of SEVERAL.includes(name) ? several(state.ride[name]) : [state.ride[name]]) if (value) asked.append(name, value);
  return asked;
}

/** A room's JSON twin. @template T @param {string} room @returns {[T | null, string]} */
const useTwin = (room) => useDocument(`${twin(room)}`);

/** What a room says while its twin is missing. @param {{trouble: string}} props */
export const Waiting = ({ trouble }) => html`<p class="room none" role="status">${trouble || "On its way."}</p>`;

/** A value as the catalogue writes it. @param {number | null | undefined} value @param {{decimals: number}} entry @param {boolean} [signed] @returns {string} */
function written(value, entry, signed = false) {
  if (value === null || value === undefined) return "–";
  const text = Math.abs(value).toFixed(entry.decimals);
  if (Number(text) === 0) return text;
  return (value < 0 ? "−" : signed ? "+" : "") + text;
}

/** Sizes side by side. */
export function Sizes() {
  /** @type {[import("./types.js").Sizes | null, string]} */
  const [found, trouble] = useTwin("sizes");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  const { sizes } = found;
  const head = ["", "unit", ...sizes.flatMap((s, i) => (i ? ["step", s.build.size] : [s.build.size]))];
  const own = (/** @type {number} */ i) => (sizes[i].build.size === state.screen?.build.size ? "own" : "");
  /** @type {import("./types.js").Cell[][]} */
  const rows = sizes[0].values.filter((v) => sizes.some((s) => value(s, v) !== null)).map((v) => {
    const entry = quantity(v.key);
    const numbers = sizes.map((s) => value(s, v));
    const cells = numbers.flatMap((n, i) => {
      const cell = { text: written(n, entry), class: own(i) };
      const step = i && n !== null && numbers[i - 1] !== null ? n - /** @type {number} */ (numbers[i - 1]) : null;
      return i ? [{ text: step === null || Math.abs(step) < 0.5 * 10 ** -entry.decimals ? "" : written(step, entry, true), class: "step" }, cell] : [cell];
    });
    return [entry.label, symbol(entry.unit), ...cells];
  });
  for (const one of found.by_size) {
    const [words, unit] = worded(one.key);
    const cells = one.values.flatMap((v, i) => {
      const text = v === null ? "unknown" : String(v);
      const is = sizes[i].build.by_size.includes(one.key);
      const cell = { text, class: `${own(i)} wraps`, node: is ? html`${text} <span class="none">by size</span>` : undefined };
      return i ? [{ text: "", class: "step" }, cell] : [cell];
    });
    rows.push([words, unit, ...cells]);
  }
  return html`<div class="room"><h1>Sizes side by side</h1>
    <${Overlay} sizes=${sizes.map((s) => s.build.size)} />
    <div class="sizes"><${Table} name="sizes with the steps between them" head=${head} rows=${rows} figures=${head.map((_, i) => i).slice(2)} hide=${true} /></div></div>`;
}

/** @typedef {import("./types.js").Sizes["sizes"][number]} OneSize */
/** @param {OneSize} size @param {{key: string}} like @returns {number | null} the same quantity in another size */
const value = (size, like) => size.values.find((v) => v.key === like.key)?.value ?? null;

/** All sizes over one another, the bottom brackets above one another. @param {{sizes: string[]}} props */
function Overlay({ sizes }) {
  const host = useRef(/** @type {HTMLElement | null} */ (null));
  const drawing = useRef(/** @type {Drawing | null} */ (null));
  const [poses, setPoses] = useState(/** @type {Record<string, import("./symbols.js").Pose | null>} */ ({}));
  const key = state.screen ? state.screen.build.key : "";
  const own = state.screen ? state.screen.build.size : "";
  useEffect(() => {
    if (host.current) drawing.current = new Drawing(host.current, hands);
  }, []);
  useEffect(() => {
    let wanted = true;
    const asked = sizes.map((size) => peek({ ...state.view, size, curves: [], values: false, travel: false, sizes: false }));
    Promise.all(asked).then((screens) => {
      if (wanted) setPoses(Object.fromEntries(screens.map((screen, i) => [sizes[i], screen && screen.pose])));
    });
    return () => {
      wanted = false;
    };
  }, [key, own, state.view.state, state.line, sizes.join()]);
  const others = sizes.filter((/** @type {string} */ s) => s !== own && poses[s]);
  useEffect(() => {
    const pose = poses[own] || null;
    if (!drawing.current) return;
    drawing.current.show({
      pose, before: null, others: others.flatMap((s) => poses[s] || []), handles: [], values: null, fault: null, chosen: "",
      spoken: `Sizes ${sizes.join(", ")} over one another, their bottom brackets above one another`,
    });
    if (pose) drawing.current.fit();
  }, [poses]);
  return html`<div class="stage low" ref=${host}></div>
    <ul class="key" aria-label="lines">${sizes.map((/** @type {string} */ s) => html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true">
      <path class=${s === own ? "outline" : `other o${others.indexOf(s) % 4}`} d="M0 4H30" /></svg> ${s}</li>`)}</ul>`;
}

/**
 * The cell of a value that is not known; a reason that stands in the row above already is told by a mark.
 * @param {import("./types.js").Screen["values"][number]} row @param {import("./types.js").Screen["values"][number] | undefined} above @returns {import("./types.js").Cell}
 */
function waiting(row, above) {
  const text = row.waits || row.text;
  const told = above && above.number === null && above.before === null && (above.waits || above.text) === text;
  return told ? { text, class: "waits again", span: 3, node: html`<span class="hidden">${text}</span>` } : { text, class: "waits", span: 3 };
}

/** All values of the draft. */
export function FiguresRoom() {
  const { screen, welcome } = state;
  if (!screen || !welcome || !screen.values.length) return html`<${Waiting} trouble="" />`;
  /** @type {Map<string, any[]>} */
  const families = new Map();
  for (const row of screen.values) families.set(row.heading, [...(families.get(row.heading) || []), row]);
  return html`<div class="room columns">
    <h1>All figures, ${welcome.states[screen.state] || screen.state}</h1>
    <div class="families">${[...families].map(([heading, rows]) => html`<section key=${heading}><h2>${heading}</h2>
      <${Table} name=${heading} hide=${true} figures=${[1, 2, 3]} head=${["", "as it is", "pinned", "change"]}
        rows=${rows.map((row, i) => [{ text: row.label, node: html`<span title=${row.meaning}>${row.label}</span>` },
          ...(row.number === null && row.before === null ? [waiting(row, rows[i - 1])] : [
            row.number === null && row.waits ? { text: row.waits, class: "waits" } : row.text, row.before_text,
            { text: row.text === row.before_text ? "" : row.change_text, class: "moved" }])])} /></section>`)}</div>
  </div>`;
}

/**
 * One place on the bike: the part chosen, its own values below.
 * @param {{address: string, label: string, now: string | undefined, choices: [string, string][], thing: import("./types.js").Table | null | undefined, at?: string}} props
 */
function Slot({ address, label, now, choices, thing, at = address }) {
  const [open, setOpen] = useState(false);
  const [picked, setPicked] = useState("");
  const choose = (/** @type {any} */ event) => {
    settle();
    setPicked(event.target.value);
    make([`${at}=${event.target.value}`]).then(() => setPicked(""));
  };
  const said = against(at);
  const own = leaves(thing, address);
  const isOffered = choices.some(([name]) => name === now);
  return html`<div class="choice"><label><span>${label}</span>
      <select onChange=${choose} name=${address} value=${picked || (isOffered ? now : "")}>
        ${!isOffered && html`<option value="" disabled>${now || "none chosen"}</option>`}
        ${choices.map(([name, words]) => html`<option value=${name}>${words}</option>`)}</select></label>
    <${BySize} name=${address} />
    ${said && html`<strong class="said">${said}</strong>`}
    ${own.length > 0 && html`<details onToggle=${(/** @type {any} */ e) => setOpen(e.target.open)}><summary>its values</summary>
      ${open && html`<${Values} thing=${thing} address=${address} label=${label} />`}</details>`}</div>`;
}

/** The mark of a part or a setting that the size shown has for itself, and the way back. @param {{name: string}} props */
function BySize({ name }) {
  const { screen } = state;
  if (!screen || !screen.build.by_size.includes(name)) return null;
  const { size } = screen.build;
  const back = () => {
    settle();
    make([`remove by_size.${size}.${name}`]);
  };
  return html`<span class="by-size"><span>size ${size} has its own</span> <button type="button" name=${`other-sizes-${name}`} onClick=${back}>as in the other sizes</button></span>`;
}

/** Parts by slot, rider, chips and settings. */
export function Parts() {
  const { draft, model, screen } = state;
  const [alone, setAlone] = useState(false);
  const size = screen ? screen.build.size : "";
  const at = (/** @type {string} */ name) => (alone ? `by_size.${size}.${name}` : name);
  if (!model || !draft) return html`<${Waiting} trouble=${state.trouble ? state.trouble.text : ""} />`;
  const slots = Object.entries(draft.stock).filter(([kind]) => kind !== "coil")
    .flatMap(([kind, parts]) => slotsOf(kind).map((slot) => ({ slot, parts: parts })));
  const chips = Object.entries((model.frame.linkage && model.frame.linkage.chips) || {});
  const names = [...new Set([...MAY_BE_UNKNOWN, ...Object.keys(model.settings)])];
  return html`<div class="split"><div class="room"><h1>Parts and rider</h1>
      <p class="orders"><label><input type="checkbox" name="alone" checked=${alone} onChange=${(/** @type {any} */ e) => setAlone(e.target.checked)} />
        what is chosen here is for size ${size} alone; else it holds in every size</label></p>
      <div class="choices">
        <${Slot} address="rider" label="rider" now=${model.rider && model.rider.name} thing=${model.rider} choices=${draft.riders.map((r) => [r, r])} />
        ${slots.map(({ slot, parts }) => html`<${Slot} key=${slot} address=${slot} at=${at(slot)} label=${slot.replace(/_/g, " ")} now=${model.parts[slot] && model.parts[slot].name}
          thing=${model.parts[slot]} choices=${parts.map((p) => [p.name, p.describe || p.name])} />`)}
        ${chips.map(([name, chip]) => html`<${Slot} key=${name} address=${`chips.${name}`} label=${`chip ${name.replace(/_/g, " ")}`}
          now=${model.chips[name] ? model.chips[name].position : Object.keys(chip.positions)[0]} thing=${null}
          choices=${Object.keys(chip.positions).map((p) => [p, p])} />`)}
      </div>
      <h2>Settings</h2>
      <div class="choices">${names.map((name) => {
        const [words, unit] = worded(name);
        return html`<div class="value" key=${name}><span>${words}</span><${Entry} label=${words} address=${at(name)} now=${valueAt(name)} unit=${unit} /><${BySize} name=${name} /></div>`;
      })}</div>
      <${Shelf} />
    </div><${Change} /></div>`;
}
