// Values that are typed into the page: a field with its unit, and what is said against what was typed.

import { settle } from "./hands.js";
import { make } from "./link.js";
import { state } from "./store.js";
import { html, useEffect, useState } from "./vendor/preact-htm.js";

const SYMBOLS = /** @type {Record<string, string>} */ ({
  deg: "°", pct: "%", n_per_mm: "N/mm", mm_s: "mm/s", hz: "Hz", n: "N", j: "J", lbf: "lbf", kg: "kg", g: "g", mm: "mm", bar: "bar", s: "s",
  cm2: "cm²", cm3: "cm³", turns: "turns", clicks: "clicks",
});

/** @typedef {import("./types.js").Quantity} Quantity */
/** @typedef {import("./types.js").Table} Table */

/** An entry of the catalogue. @param {string} key @returns {Quantity} */
export function quantity(key) {
  const found = state.welcome && state.welcome.catalogue.quantities.find((q) => q.key === key);
  if (!found) throw new Error(`the catalogue has no ${key}`);
  return found;
}

/** @param {string} unit @returns {string} */
export const symbol = (unit) => SYMBOLS[unit] || unit.replace(/_/g, "/");

/** What was said against the last change, where it concerns an address or is that very change. @param {string} address @returns {string} */
export function against(address) {
  const { trouble } = state;
  return trouble && trouble.deed && trouble.changes.some((c) => c === address || c.startsWith(`${address}=`)) ? trouble.text : "";
}

/**
 * A value that is typed; what is said against it stands at the field. An emptied number is unknown, or the default.
 * @param {{label: string, address: string, now: unknown, unit: string, width?: number, none?: string}} props
 */
export function Entry({ label, address, now, unit, width = 9, none = "unknown" }) {
  // a gauge is not read more finely
  const places = unit === "bar" ? 1e2 : 1e4;
  const text = now === null || now === undefined ? "" : String(typeof now === "number" ? Math.round(now * places) / places : now);
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const send = (/** @type {any} */ event) => {
    const meant = event.target.value.trim();
    if (meant !== text && (meant || typeof now === "number")) {
      settle();
      make([`${address}=${meant || "unknown"}`]);
    } else setTyped(null);
  };
  useEffect(() => setTyped(null), [text]);
  const said = against(address);
  return html`<span class="entry"><input size=${width} value=${typed === null ? text : typed} placeholder=${text ? "" : none} aria-label=${label}
      aria-invalid=${said ? "true" : undefined} onInput=${(/** @type {any} */ e) => setTyped(e.target.value)} onChange=${send} /> <span class="unit">${unit}</span>
    ${said && html`<strong class="said">${said}</strong>`}</span>`;
}

/**
 * A field that tells its text once it is finished; what is being typed stays, whatever else is drawn meanwhile. What is
 * said against its text stands below it.
 * @param {{name: string, now: string, tell: (text: string) => void, size: number, hint: string, numbers?: boolean, said?: string, label?: string, unit?: string}} props
 */
export function Typed({ name, now, tell, size, hint, numbers = false, said = "", label, unit = "" }) {
  const [typed, setTyped] = useState(/** @type {string | null} */ (null));
  const finish = (/** @type {any} */ event) => {
    setTyped(null);
    tell(event.target.value.trim());
  };
  return html`<input name=${name} size=${size} placeholder=${hint} inputmode=${numbers ? "decimal" : "text"} autocapitalize="off" spellcheck="false" aria-label=${label}
    aria-invalid=${said ? "true" : undefined} value=${typed === null ? now : typed} onInput=${(/** @type {any} */ e) => setTyped(e.target.value)} onChange=${finish} />
    ${unit && html` <span class="unit">${unit}</span>`}${said && html`<strong class="said" role="status">${said}</strong>`}`;
}

/**
 * What of a part can be typed: its numbers and texts, by address.
 * @param {object | null | undefined} thing @param {string} address @param {string} [words] @returns {[string, string, unknown][]}
 */
export function leaves(thing, address, words = "") {
  /** @type {[string, string, unknown][]} */
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
export function worded(name) {
  const unit = Object.keys(SYMBOLS).filter((u) => name.endsWith(`_${u}`)).sort((a, b) => b.length - a.length)[0];
  return [(unit ? name.slice(0, -unit.length - 1) : name).replace(/_/g, " "), unit ? symbol(unit) : ""];
}

/** The values of a thing, each in a field. @param {{thing: object | null | undefined, address: string, label: string}} props */
export function Values({ thing, address, label }) {
  return html`<div class="values">${leaves(thing, address).map(([name, at, value]) => {
    const [words, unit] = worded(name);
    return html`<div class="value" key=${at}><span>${words}</span><${Entry} label=${`${label}, ${words}`} address=${at} now=${value} unit=${unit} /></div>`;
  })}</div>`;
}
