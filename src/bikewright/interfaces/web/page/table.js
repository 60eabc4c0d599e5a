// Tables that can be read, sorted by nobody, and copied as CSV.

import { html, useRef, useState } from "./vendor/preact-htm.js";

/** @param {string | number | null | undefined} cell @returns {string} */
function quoted(cell) {
  const plain = cell === null || cell === undefined ? "" : String(cell);
  const number = plain.replace("−", "-");
  if (/^[+-]?\d+(\.\d+)?$/.test(number)) return number;
  // a leading sign of a formula is kept from being one where a spreadsheet opens the text
  const safe = /^[-=+@\t\r]/.test(plain) ? "'" + plain : plain;
  return /[",\n\r]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
}

/** @param {string[]} head @param {(string | number | null | undefined)[][]} rows @returns {string} */
const csv = (head, rows) => [head, ...rows].map((row) => row.map(quoted).join(",")).join("\r\n") + "\r\n";

/** A button that copies; where the browser has no clipboard, as on plain http, the text is shown, marked, to be copied. @param {{head: string[], rows: () => (string | number | null | undefined)[][], name: string}} props */
export function Copy({ head, rows, name }) {
  const [shown, setShown] = useState("");
  const [said, setSaid] = useState("");
  const box = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  const copy = async () => {
    const text = csv(head, rows());
    try {
      await navigator.clipboard.writeText(text);
      setSaid("copied");
      setShown("");
    } catch {
      setSaid("press the keys that copy");
      setShown(text);
      setTimeout(() => box.current && (box.current.focus(), box.current.select()), 0);
    }
  };
  return html`<span class="copy">
    <button type="button" onClick=${copy} aria-label=${`copy as CSV: ${name}`}>copy as CSV</button>
    <span role="status">${said}</span>
    ${shown && html`<textarea ref=${box} readonly aria-label=${`${name} as CSV`} rows="4" value=${shown}></textarea>`}
  </span>`;
}

/**
 * @param {object} props
 * @param {string} props.name what the table holds
 * @param {string[]} props.head
 * @param {import("./types.js").Cell[][]} props.rows cells: text, or {text, class, node, span}
 * @param {number[]} [props.figures] columns that hold numbers
 * @param {boolean} [props.hide] hides the caption from sight
 * @param {string[]} [props.keys] what each row is, where rows come and go
 */
export function Table({ name, head, rows, figures = [], hide = false, keys = [] }) {
  const plain = () => rows.map((row) => row.map((cell) => (cell && typeof cell === "object" ? cell.text : cell)));
  const cls = (/** @type {number} */ i, /** @type {import("./types.js").Cell} */ cell) => [figures.includes(i) ? "num" : "", (cell && typeof cell === "object" && cell.class) || ""].join(" ").trim();
  return html`<div class="tablebox" tabindex="0" role="region" aria-label=${name}>
      <table>
        <caption class=${hide ? "hidden" : ""}>${name}</caption>
        <thead><tr>${head.map((h, i) => html`<th scope="col" class=${cls(i, null)}>${h}</th>`)}</tr></thead>
        <tbody>${rows.map((row, r) => html`<tr key=${keys[r] || r}>${row.map((cell, i) => {
          const inner = cell && typeof cell === "object" ? cell.node || cell.text : cell;
          return i === 0 ? html`<th scope="row">${inner}</th>` : html`<td class=${cls(i, cell)} colspan=${(cell && typeof cell === "object" && cell.span) || undefined}>${inner}</td>`;
        })}</tr>`)}</tbody>
      </table>
    </div>
    <${Copy} head=${head} rows=${plain} name=${name} />`;
}
