// The rooms beside the bike: sizes, figures, brief, parts and riders, versions.

import { Change, slotsOf } from "./change.js";
import { Drawing } from "./drawing.js";
import { hands, settle, valueAt } from "./hands.js";
import { shown } from "./keys.js";
import { make, order, peek, show } from "./link.js";
import { state } from "./store.js";
import { Table } from "./table.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

const TWINS = /** @type {Record<string, string>} */ ({
  bike: "comparison", curves: "curves", figures: "answer", sizes: "sizes", brief: "brief", parts: "parts", versions: "versions",
});
const SYMBOLS = /** @type {Record<string, string>} */ ({
  deg: "°", pct: "%", n_per_mm: "N/mm", n: "N", j: "J", lbf: "lbf", kg: "kg", g: "g", mm: "mm", bar: "bar", s: "s",
  cm2: "cm²", cm3: "cm³", turns: "turns", clicks: "clicks",
});
/** settings that are left out of what the server tells while nobody has given them */
const MAY_BE_UNKNOWN = ["saddle_height_mm", "fork_pressure_bar", "shock_pressure_bar", "front_tyre_bar", "rear_tyre_bar"];

/** Address of a room's JSON twin. @param {string} room @returns {string} */
export function twin(room) {
  const { view } = state;
  const asked = new URLSearchParams({ build: view.build, state: view.state });
  if (view.size) asked.set("size", view.size);
  if (room === "curves") for (const key of view.curves) asked.append("key", key);
  return `/${TWINS[room]}.json?${asked}`;
}

/** A twin, fetched anew whenever the draft changes. @param {string} room @returns {[any, string]} */
function useTwin(room) {
  const [found, setFound] = useState(null);
  const [trouble, setTrouble] = useState("");
  const { screen, draft } = state;
  const key = screen ? screen.build.key : "";
  const stamp = draft ? `${draft.position}/${draft.length}/${draft.versions.length}/${draft.dirty}` : "";
  const address = twin(room);
  useEffect(() => {
    if (state.line !== "open") return undefined;
    let wanted = true;
    fetch(address, { headers: shown() })
      .then(async (answer) => {
        const told = await answer.json();
        if (!wanted) return;
        if (answer.ok) setFound(told);
        setTrouble(answer.ok ? "" : told.error);
      })
      .catch(() => wanted && setTrouble("The server does not answer."));
    return () => {
      wanted = false;
    };
  }, [address, key, stamp, state.line]);
  return [found, trouble];
}

/** What a room says while its twin is missing. */
const Waiting = ({ trouble }) => html`<p class="room none" role="status">${trouble || "On its way."}</p>`;

/** @param {string} key @returns {any} the catalogue's entry */
const quantity = (key) => state.welcome.catalogue.quantities.find((/** @type {any} */ q) => q.key === key);

/** @param {string} unit @returns {string} */
const symbol = (unit) => SYMBOLS[unit] || unit.replace(/_/g, "/");

/** A value as the catalogue writes it. @param {number | null | undefined} value @param {any} entry @param {boolean} [signed] @returns {string} */
function written(value, entry, signed = false) {
  if (value === null || value === undefined) return "–";
  const text = Math.abs(value).toFixed(entry.decimals);
  if (Number(text) === 0) return text;
  return (value < 0 ? "−" : signed ? "+" : "") + text;
}

/** Sizes side by side. */
export function Sizes() {
  const [found, trouble] = useTwin("sizes");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  /** @type {any[]} */
  const sizes = found.sizes;
  const head = ["", "unit", ...sizes.flatMap((s, i) => (i ? ["step", s.build.size] : [s.build.size]))];
  const own = (/** @type {number} */ i) => (sizes[i].build.size === state.screen?.build.size ? "own" : "");
  const rows = sizes[0].values.filter((/** @type {any} */ v) => sizes.some((s) => value(s, v) !== null)).map((/** @type {any} */ v) => {
    const entry = quantity(v.key);
    const numbers = sizes.map((s) => value(s, v));
    const cells = numbers.flatMap((n, i) => {
      const cell = { text: written(n, entry), class: own(i) };
      const step = i && n !== null && numbers[i - 1] !== null ? n - /** @type {number} */ (numbers[i - 1]) : null;
      return i ? [{ text: step === null || Math.abs(step) < 0.5 * 10 ** -entry.decimals ? "" : written(step, entry, true), class: "step" }, cell] : [cell];
    });
    return [entry.label, symbol(entry.unit), ...cells];
  });
  return html`<div class="room"><h1>Sizes side by side</h1>
    <${Overlay} sizes=${sizes.map((s) => s.build.size)} />
    <${Table} name="sizes with the steps between them" head=${head} rows=${rows} figures=${head.map((_, i) => i).slice(2)} hide=${true} /></div>`;
}

/** @param {any} size @param {any} like @returns {number | null} the same quantity in another size */
const value = (size, like) => size.values.find((/** @type {any} */ v) => v.key === like.key)?.value ?? null;

/** All sizes over one another, the bottom brackets above one another. */
function Overlay({ sizes }) {
  const host = useRef(null);
  const drawing = useRef(/** @type {any} */ (null));
  const [poses, setPoses] = useState(/** @type {Record<string, any>} */ ({}));
  const key = state.screen ? state.screen.build.key : "";
  const own = state.screen ? state.screen.build.size : "";
  useEffect(() => {
    drawing.current = new Drawing(host.current, hands);
  }, []);
  useEffect(() => {
    let wanted = true;
    (async () => {
      /** @type {Record<string, any>} */
      const found = {};
      for (const size of sizes) {
        const screen = await peek({ ...state.view, size, curves: [], values: false, travel: false, sizes: false });
        if (!wanted) return;
        found[size] = screen && screen.pose;
      }
      setPoses(found);
      show();
    })();
    return () => {
      wanted = false;
    };
  }, [key, own, state.view.state, state.line, sizes.join()]);
  const others = sizes.filter((/** @type {string} */ s) => s !== own && poses[s]);
  useEffect(() => {
    const pose = poses[own] || null;
    drawing.current.show({
      pose, before: null, others: others.map((/** @type {string} */ s) => poses[s]), handles: [], values: null, fault: null, chosen: "",
      spoken: `Sizes ${sizes.join(", ")} over one another, their bottom brackets above one another`,
    });
    if (pose) drawing.current.fit();
  }, [poses]);
  return html`<div class="stage low" ref=${host}></div>
    <ul class="key" aria-label="lines">${sizes.map((/** @type {string} */ s) => html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true">
      <path class=${s === own ? "outline" : `other o${others.indexOf(s) % 4}`} d="M0 4H30" /></svg> ${s}</li>`)}</ul>`;
}

/** All values of the draft. */
export function FiguresRoom() {
  const { screen } = state;
  if (!screen || !screen.values.length) return html`<${Waiting} trouble="" />`;
  /** @type {Map<string, any[]>} */
  const families = new Map();
  for (const row of screen.values) families.set(row.heading, [...(families.get(row.heading) || []), row]);
  return html`<div class="room columns">
    <h1>All figures, ${state.welcome.states[screen.state] || screen.state}</h1>
    <div class="families">${[...families].map(([heading, rows]) => html`<section key=${heading}><h2>${heading}</h2>
      <${Table} name=${heading} hide=${true} figures=${[1, 2, 3]} head=${["", "as it is", "pinned", "change"]}
        rows=${rows.map((row) => [{ text: row.label, node: html`<span title=${row.meaning}>${row.label}</span>` },
          ...(row.number === null && row.before === null ? [{ text: row.waits || row.text, class: "waits", span: 3 }] : [
            row.number === null && row.waits ? { text: row.waits, class: "waits" } : row.text, row.before_text,
            { text: row.text === row.before_text ? "" : row.change_text, class: "moved" }])])} /></section>`)}</div>
  </div>`;
}

/** What was said against the last change, where it concerns an address. @param {string} address @returns {string} */
function against(address) {
  const { trouble } = state;
  return trouble && trouble.deed && trouble.changes.some((/** @type {string} */ c) => c.startsWith(`${address}=`)) ? trouble.text : "";
}

/** A value that is typed; what is said against it stands at the field. */
function Entry({ label, address, now, unit, width = 9, none = "unknown" }) {
  const text = now === null || now === undefined ? "" : String(typeof now === "number" ? Math.round(now * 1e4) / 1e4 : now);
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const send = (/** @type {any} */ event) => {
    const meant = event.target.value.trim();
    if (meant && meant !== text) {
      settle();
      make([`${address}=${meant}`]);
    } else setTyped(null);
  };
  useEffect(() => setTyped(null), [text]);
  const said = against(address);
  return html`<span class="entry"><input size=${width} value=${typed === null ? text : typed} placeholder=${text ? "" : none} aria-label=${label}
      aria-invalid=${said ? "true" : undefined} onInput=${(/** @type {any} */ e) => setTyped(e.target.value)} onChange=${send} /> <span class="unit">${unit}</span>
    ${said && html`<strong class="said">${said}</strong>`}</span>`;
}

/** The brief, its bands typed. */
export function Brief() {
  const [found, trouble] = useTwin("brief");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  const values = state.screen ? state.screen.values : [];
  const rows = found.lines.map((/** @type {any} */ line) => {
    const [key, at] = line.name.split("@");
    const entry = quantity(key);
    const here = values.find((/** @type {any} */ v) => v.key === key);
    const ofSize = !line.size || line.size === state.view.size;
    const shownHere = here && ofSize && (entry.scope !== "state" || (at || "table") === state.view.state);
    const end = (/** @type {string} */ which) => ({
      text: line[which] === undefined ? "" : written(line[which], entry),
      node: html`<${Entry} label=${`${which} of ${entry.label}`} address=${`brief.${line.name}.${which}`} now=${line[which]} unit="" width="6" none="none" />`,
    });
    const felt = line.felt_step ?? entry.felt_step;
    const step = felt === null ? "" : entry.felt_as === "relative" ? `${Math.round(felt * 1000) / 10} %` : `${felt}${entry.unit === "deg" ? "" : " "}${symbol(entry.unit)}`;
    return [`${entry.label}${at ? `, ${state.welcome.states[at] || at}` : ""}`, line.size || "all", end("low"), end("high"), symbol(entry.unit),
      shownHere ? here.text : "", step, { text: line.why || "", class: "why" }];
  });
  return html`<div class="split"><div class="room"><h1>The brief</h1>
      <p class="none">What the bike is meant to be. A verdict that turns stands at the head of what follows. Numbers as they are show for lines of the state chosen above.</p>
      <${Table} name="lines of the brief" hide=${true} figures=${[5, 6]} head=${["quantity", "size", "low", "high", "", "as it is", "felt from", "why"]} rows=${rows} />
    </div><${Change} /></div>`;
}

/** What of a part can be typed: its numbers and texts, by address. @param {any} thing @param {string} address @returns {[string, string, any][]} */
function leaves(thing, address, words = "") {
  /** @type {[string, string, any][]} */
  const found = [];
  for (const [name, now] of Object.entries(thing || {})) {
    if (["name", "history", "describe", "kind"].includes(name)) continue;
    const at = `${address}.${name}`;
    const label = `${words} ${name}`.trim();
    if (now !== null && typeof now === "object") {
      if (!Array.isArray(now)) found.push(...leaves(now, at, label));
    } else if (typeof now !== "boolean") found.push([label, at, now === "unknown" ? null : now]);
  }
  return found;
}

/** Label and unit from a name of the files. @param {string} name @returns {[string, string]} */
function worded(name) {
  const unit = Object.keys(SYMBOLS).filter((u) => name.endsWith(`_${u}`)).sort((a, b) => b.length - a.length)[0];
  return [(unit ? name.slice(0, -unit.length - 1) : name).replace(/_/g, " "), unit ? symbol(unit) : ""];
}

/** One place on the bike: the part chosen, its own values below. */
function Slot({ address, label, now, choices, thing }) {
  const [open, setOpen] = useState(false);
  const choose = (/** @type {any} */ event) => {
    settle();
    make([`${address}=${event.target.value}`]);
  };
  const said = against(address);
  const own = thing ? leaves(thing, address) : [];
  return html`<div class="choice"><label><span>${label}</span>
      <select onChange=${choose} name=${address}>
        ${!choices.some(([name]) => name === now) && html`<option value="" selected disabled>${now || "none chosen"}</option>`}
        ${choices.map(([name, words]) => html`<option value=${name} selected=${name === now}>${words}</option>`)}</select></label>
    ${said && html`<strong class="said">${said}</strong>`}
    ${own.length > 0 && html`<details onToggle=${(/** @type {any} */ e) => setOpen(e.target.open)}><summary>its values</summary>
      ${open && html`<div class="values">${own.map(([name, at, value]) => {
        const [words, unit] = worded(name);
        return html`<div class="value" key=${at}><span>${words}</span><${Entry} label=${`${label}, ${words}`} address=${at} now=${value} unit=${unit} /></div>`;
      })}</div>`}</details>`}</div>`;
}

/** Parts by slot, rider, chips and settings. */
export function Parts() {
  const { welcome, model } = state;
  if (!model) return html`<${Waiting} trouble=${state.trouble ? state.trouble.text : ""} />`;
  const slots = Object.entries(welcome.stock).filter(([kind]) => kind !== "coil")
    .flatMap(([kind, parts]) => slotsOf(kind).map((slot) => ({ slot, parts: /** @type {any[]} */ (parts) })));
  const chips = Object.entries((model.frame.linkage && model.frame.linkage.chips) || {});
  const names = [...new Set([...MAY_BE_UNKNOWN, ...Object.keys(model.settings)])];
  return html`<div class="split"><div class="room"><h1>Parts and rider</h1>
      <div class="choices">
        <${Slot} address="rider" label="rider" now=${model.rider && model.rider.name} thing=${model.rider} choices=${welcome.riders.map((/** @type {string} */ r) => [r, r])} />
        ${slots.map(({ slot, parts }) => html`<${Slot} key=${slot} address=${slot} label=${slot.replace(/_/g, " ")} now=${model.parts[slot] && model.parts[slot].name}
          thing=${model.parts[slot]} choices=${parts.map((p) => [p.name, p.describe || p.name])} />`)}
        ${chips.map(([name, chip]) => html`<${Slot} key=${name} address=${`chips.${name}`} label=${`chip ${name.replace(/_/g, " ")}`}
          now=${model.chips[name] ? model.chips[name].position : Object.keys(/** @type {any} */ (chip).positions)[0]} thing=${null}
          choices=${Object.keys(/** @type {any} */ (chip).positions).map((p) => [p, p])} />`)}
      </div>
      <h2>Settings</h2>
      <div class="choices">${names.map((name) => {
        const [words, unit] = worded(name);
        return html`<div class="value" key=${name}><span>${words}</span><${Entry} label=${words} address=${name} now=${valueAt(name)} unit=${unit} /></div>`;
      })}</div>
    </div><${Change} /></div>`;
}

/** Kept versions: opened, or made the baseline to compare with. */
export function Versions() {
  const [found, trouble] = useTwin("versions");
  const { draft } = state;
  if (!found || !draft) return html`<${Waiting} trouble=${trouble} />`;
  const act = (/** @type {string} */ verb, /** @type {any} */ body) => () => {
    settle();
    order(verb, body);
  };
  const One = ({ label, lines }) => html`<article class="version"><h2>${label || "the files"}</h2>
    <span class="acts"><button type="button" aria-label=${`open ${label || "the files"}`} disabled=${draft.base === label && !draft.dirty} onClick=${act("open", { version: label })}>open</button>
    <button type="button" aria-label=${`compare with ${label || "the files"}`} disabled=${draft.pinned === (label || "files")} onClick=${act("pin", { to: label || "files" })}>compare</button></span>
    <p>${[draft.base === label ? "the draft starts here" : "", draft.pinned === (label || "files") ? "pinned" : "", ...lines].filter(Boolean).join("; ")}</p></article>`;
  return html`<div class="split"><div class="room"><h1>Kept versions</h1>
      <p class="none">Each is a file of its own that is never changed. Opening one is a step that undo takes back. What follows is always told against what is pinned.</p>
      <${One} label="" lines=${[]} />
      ${found.versions.slice().reverse().map((/** @type {any} */ v) => html`<${One} key=${v.label} label=${v.label}
        lines=${v.trouble ? [v.trouble] : [`${v.build}, size ${v.size}`, `kept ${v.kept}`, `made from ${v.parent || "the files"}`, v.note]} />`)}
    </div><${Change} /></div>`;
}
