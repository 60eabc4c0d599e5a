// The rooms beside the bike: sizes, figures, brief, parts and riders, versions. Each shows its JSON twin.

import { Drawing } from "./drawing.js";
import { hands, settle } from "./hands.js";
import { make, order } from "./link.js";
import { listen, state } from "./store.js";
import { Table } from "./table.js";
import { Change, Consequences } from "./change.js";
import { html, useEffect, useRef, useState } from "./vendor/preact-htm.js";

/** Address of a room's JSON twin. @param {string} room @param {Record<string, string>} [more] @returns {string} */
export function twin(room, more = {}) {
  const { view } = state;
  const asked = new URLSearchParams({ build: view.build, state: view.state, ...(view.size ? { size: view.size } : {}), ...more });
  return `/twin/${room}.json?${asked}`;
}

/** A twin, fetched anew whenever the draft changes. @param {string} room @param {Record<string, string>} [more] @returns {[any, string]} */
function useTwin(room, more = {}) {
  const [found, setFound] = useState(null);
  const [trouble, setTrouble] = useState("");
  const key = state.screen ? state.screen.build.key : "";
  const draft = state.draft ? `${state.draft.undo}/${state.draft.stamp || ""}` : "";
  const address = twin(room, more);
  useEffect(() => {
    if (!key || state.line !== "open") return undefined;
    let wanted = true;
    fetch(address)
      .then(async (answer) => {
        const told = await answer.json();
        if (!wanted) return;
        if (answer.ok) setFound(told);
        setTrouble(answer.ok ? "" : told.trouble || told.error || `The server answered ${answer.status}.`);
      })
      .catch(() => wanted && setTrouble("The server does not answer."));
    return () => {
      wanted = false;
    };
  }, [address, key, draft, state.line]);
  return [found, trouble];
}

/** What a room says while its twin is missing. */
function Waiting({ trouble }) {
  return html`<p class="none" role="status">${trouble || "On its way."}</p>`;
}

/** Sizes side by side. */
export function Sizes() {
  const [found, trouble] = useTwin("sizes");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  /** @type {any[]} */
  const sizes = found.sizes;
  const head = ["", "unit", ...sizes.flatMap((s, i) => (i ? ["step", s.size] : [s.size]))];
  const rows = found.rows.map((/** @type {any} */ row) => [
    row.label, row.unit || "", ...row.cells.flatMap((/** @type {any} */ c, /** @type {number} */ i) => (i ? [{ text: c.step_text || "", class: "step" }, c.text] : [c.text])),
  ]);
  return html`<div class="room">
    <h1>Sizes side by side</h1>
    ${sizes.some((s) => s.pose) && html`<${Overlay} sizes=${sizes} />`}
    <${Table} name="sizes with the steps between them" head=${head} rows=${rows} figures=${head.map((_, i) => i).slice(2)} hide=${true} />
  </div>`;
}

/** All sizes over one another, the bottom brackets together. */
function Overlay({ sizes }) {
  const host = useRef(null);
  const drawing = useRef(/** @type {any} */ (null));
  const draw = () => {
    const poses = sizes.filter((/** @type {any} */ s) => s.pose);
    const own = poses.find((/** @type {any} */ s) => s.size === state.screen.build.size);
    drawing.current.show({
      pose: own ? own.pose : null,
      before: null,
      others: poses.filter((/** @type {any} */ s) => s !== own).map((/** @type {any} */ s) => s.pose),
      handles: [], values: null, fault: null, chosen: "",
      spoken: `Sizes ${poses.map((/** @type {any} */ s) => s.size).join(", ")} over one another, their bottom brackets together`,
    });
  };
  useEffect(() => {
    drawing.current = new Drawing(host.current, hands);
  }, []);
  useEffect(draw, [sizes]);
  return html`<div class="stage low" ref=${host}></div>
    <ul class="key">${sizes.filter((/** @type {any} */ s) => s.pose).map((/** @type {any} */ s) => {
      const others = sizes.filter((/** @type {any} */ o) => o.pose && o.size !== state.screen.build.size);
      const own = s.size === state.screen.build.size;
      return html`<li><svg class="sample" viewBox="0 0 30 8" aria-hidden="true"><path class=${own ? "outline" : `other o${others.indexOf(s) % 4}`} d="M0 4H30" /></svg> ${s.size}</li>`;
    })}</ul>`;
}

/** All values of the draft. */
export function FiguresRoom() {
  const { screen } = state;
  if (!screen || !screen.values.length) return html`<${Waiting} trouble="" />`;
  /** @type {Map<string, any[]>} */
  const families = new Map();
  for (const row of screen.values) families.set(row.heading, [...(families.get(row.heading) || []), row]);
  return html`<div class="room"><h1>All figures</h1>
    ${[...families].map(([heading, rows]) => html`<section key=${heading}><h2>${heading}</h2>
      <${Table} name=${heading} hide=${true} figures=${[1, 2, 3]} head=${["", "as it is", "pinned", "change"]}
        rows=${rows.map((row) => [{ text: row.label, node: html`<span title=${row.meaning}>${row.label}</span>` },
          row.number === null && row.waits ? { text: row.waits, class: "waits" } : row.text, row.before_text,
          { text: row.text === row.before_text ? "" : row.change_text, class: "moved" }])} /></section>`)}
  </div>`;
}

/** The brief, each line judged. */
export function Brief() {
  const [found, trouble] = useTwin("brief");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  return html`<div class="room"><h1>The brief</h1>
    <p class="none">${found.file ? `From ${found.file}.` : ""} ${found.editable ? "" : "To change it, edit that file: the page follows at once."}</p>
    <${Table} name="lines of the brief" hide=${true} figures=${[2]} head=${["quantity", "band", "now", "verdict", "why"]}
      rows=${found.lines.map((/** @type {any} */ l) => [
        l.label, found.editable ? { text: l.band, node: html`<${Band} line=${l} />` } : l.band, l.text,
        { text: l.verdict, class: `verdict-${l.met ? "met" : "missed"}` }, l.why || ""])} />
    ${found.steps && html`<h2>Felt steps</h2>
    <${Table} name="smallest changes that are felt" hide=${true} figures=${[1]} head=${["quantity", "felt from", "set by"]}
      rows=${found.steps.map((/** @type {any} */ s) => [s.label, s.text, s.own ? "the brief" : "common practice"])} />`}
  </div>`;
}

/** Low and high of a line, typed. */
function Band({ line }) {
  const field = (/** @type {string} */ end) => {
    const now = line[end] === null || line[end] === undefined ? "" : String(line[end]);
    const send = (/** @type {any} */ event) => {
      const typed = event.target.value.trim();
      if (typed !== now) make([`brief.${line.index}.${end}=${typed || "none"}`]);
    };
    return html`<input size="6" inputmode="decimal" value=${now} aria-label=${`${end} of ${line.label}`} onChange=${send} />`;
  };
  return html`<span class="band">${field("low")} to ${field("high")} ${line.unit || ""}</span>`;
}

/** Parts by slot and riders, exchanged by choosing. */
export function Parts() {
  const [found, trouble] = useTwin("parts");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  const choose = (/** @type {string} */ address) => (/** @type {any} */ event) => {
    settle();
    make([`${address}=${event.target.value}`]);
  };
  const Choice = (/** @type {{slot: any}} */ { slot }) => html`<label class="choice"><span>${slot.label || slot.slot.replace(/_/g, " ")}</span>
    <select value=${slot.current || ""} onChange=${choose(slot.slot)}>
      ${!slot.current && html`<option value="" selected>${slot.described || "none"}</option>`}
      ${slot.choices.map((/** @type {any} */ c) => html`<option value=${c.name} selected=${c.name === slot.current}>${c.text || c.name}</option>`)}
    </select></label>`;
  return html`<div class="split"><div class="room"><h1>Parts and rider</h1>
      <div class="choices">${found.slots.map((/** @type {any} */ s) => html`<${Choice} key=${s.slot} slot=${s} />`)}</div>
      ${found.chips && found.chips.length > 0 && html`<h2>Chips</h2><div class="choices">${found.chips.map((/** @type {any} */ s) => html`<${Choice} key=${s.slot} slot=${s} />`)}</div>`}
      ${found.settings && html`<h2>Settings</h2><div class="choices">${found.settings.map((/** @type {any} */ s) => html`<${Setting} key=${s.address} setting=${s} />`)}</div>`}
    </div><${Change} /></div>`;
}

/** One setting, typed; the unit may be written. */
function Setting({ setting }) {
  const now = setting.value === null || setting.value === undefined ? "" : String(setting.value);
  const send = (/** @type {any} */ event) => {
    const typed = event.target.value.trim();
    if (typed && typed !== now) make([`${setting.address}=${typed}`]);
  };
  return html`<label class="choice"><span>${setting.label}</span>
    <input value=${now} placeholder=${now ? "" : "unknown"} onChange=${send} /> <span class="unit">${setting.unit}</span>
    ${setting.allowed && html`<small>${setting.allowed}</small>`}</label>`;
}

/** Kept versions: opened, compared. */
export function Versions() {
  const [found, trouble] = useTwin("versions");
  const [chosen, setChosen] = useState("");
  if (!found) return html`<${Waiting} trouble=${trouble} />`;
  const open = (/** @type {string} */ label) => () => {
    settle();
    order("open", { version: label });
  };
  return html`<div class="room"><h1>Kept versions</h1>
    ${!found.versions.length && html`<p class="none">None is kept yet. "keep" beside the drawing writes the draft as a version.</p>`}
    ${found.versions.length > 0 && html`<${Table} name="kept versions" hide=${true} head=${["version", "kept", "from", "note", ""]}
      rows=${found.versions.map((/** @type {any} */ v) => [v.label, v.kept, v.parent || "the files", v.note, { text: "", node: html`<span class="acts">
        <button type="button" onClick=${open(v.label)}>open</button>
        <button type="button" aria-pressed=${chosen === v.label} onClick=${() => setChosen(chosen === v.label ? "" : v.label)}>compare</button></span>` }])} />`}
    ${chosen && html`<${Against} version=${chosen} />`}
  </div>`;
}

/** The draft against one kept version. */
function Against({ version }) {
  const [found, trouble] = useTwin("compare", { version });
  return html`<section><h2>The draft against ${version}</h2>
    ${found ? html`<${Consequences} comparison=${found.comparison || found} heading=${`against ${version}`} />` : html`<${Waiting} trouble=${trouble} />`}</section>`;
}

export { listen };
