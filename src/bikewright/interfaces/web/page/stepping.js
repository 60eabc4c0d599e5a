// How the sizes may step by a rule, and the draft made so.

import { Typed } from "./fields.js";
import { settle } from "./hands.js";
import { make, show } from "./link.js";
import { AsJson, Choice, Progress, Sentences, ask, ofRange, refusedAt, several, useDocument, useLong } from "./rooms.js";
import { set, state } from "./store.js";
import { Table } from "./table.js";
import { html } from "./vendor/preact-htm.js";

/** @typedef {import("./types.js").ShownSteps} ShownSteps */
/** @typedef {import("./types.js").ShownStepped} ShownStepped */

/** What is typed of a list of `name=value`. @param {string} text @returns {Record<string, string>} */
const pairs = (text) => Object.fromEntries(several(text).map((one) => one.split("=").map((part) => part.trim())));

/** The same as one text again. @param {Record<string, string>} values @returns {string} */
const joined = (values) => Object.entries(values).filter(([, value]) => value).map(([name, value]) => `${name}=${value}`).join(";");

/** How the sizes may step by a rule, and the draft made so. */
export function Steps() {
  const { welcome, view, ride } = state;
  /** @type {[{stepped: ShownStepped[]} | null, string]} */
  const [offered] = useDocument(/** @type {string} */ ("/shown/rules.json"));
  const kinds = offered ? offered.stepped : [];
  const kind = kinds.find((one) => one.of === ride.of) || kinds[0];
  const of = kind ? kind.of : ride.of;
  const rules = kind ? kind.rules : [];
  const asks = rules.find((one) => one.rule === ride.rule);
  const rule = asks ? asks.rule : "";
  const steps = pairs(ride.step);
  const [low, high] = ride.cap.split("..");
  const asked = ofRange(["rule", "of", "keep", "own", ...(asks?.within ? /** @type {const} */ (["within"]) : []), ...(asks?.capped ? /** @type {const} */ (["cap"]) : [])]);
  for (const { name } of asks ? asks.steps : []) if (steps[name]) asked.append("step", `${name}=${steps[name]}`);
  /** @type {[ShownSteps | null, string, string, import("./types.js").Long]} */
  const [found, trouble, progress, long] = useLong(rule ? `/shown/steps.json?${asked}` : "");
  if (!welcome) return null;
  const cap = (/** @type {string} */ from, /** @type {string} */ to) => ask({ cap: from || to ? `${from}..${to}` : "" });
  const take = () => {
    if (!found) return;
    settle();
    set({ view: { ...view, sizes: true }, sizes: null });
    make(found.changes);
    show();
  };
  const cells = (/** @type {string[][]} */ rows) => rows.map((row) => row.map((text) => ({ text, class: text.includes("→") ? "moved" : "" })));
  return html`<h1>How should the sizes step?</h1>
    <form class="orders" aria-label="a rule" onSubmit=${(/** @type {Event} */ e) => e.preventDefault()}>
      <${Choice} name="rule" label="rule" now=${rule} choices=${[["", "choose one"], ...rules.map((one) => [one.rule, one.words])]} tell=${(/** @type {string} */ value) => ask({ rule: value })} />
      <${Choice} name="of" label="of" now=${of} choices=${kinds.map((one) => [one.of, one.words])} tell=${(/** @type {string} */ value) => ask({
        of: value === kinds[0].of ? "" : value, within: "", rule: kinds.some((one) => one.of === value && one.rules.some((other) => other.rule === rule)) ? rule : "",
      })} />
      <${Choice} name="keep" label="kept size" now=${ride.keep} choices=${[["", "the build's own"], ...welcome.sizes.map((s) => [s, s])]} tell=${(/** @type {string} */ value) => ask({ keep: value })} />
      ${asks && asks.steps.map(({ name, label }) => html`<label key=${name}>${label} <${Typed} name=${`step-${name}`} size=${5} hint="as it is" numbers=${true} now=${steps[name] || ""}
        tell=${(/** @type {string} */ step) => ask({ step: joined({ ...steps, [name]: step }) })} /> <span class="unit">mm</span></label>`)}
      ${asks && asks.steps.length > 0 && long.at === "step" && html`<strong class="said" role="status">${trouble}</strong>`}
      ${asks && asks.within && html`<label>missed by at most <${Typed} name="within" size=${4} hint=${asks.within} numbers=${true} now=${ride.within} unit=${asks.unit} said=${refusedAt({ long, at: "within", trouble })}
        tell=${(/** @type {string} */ value) => ask({ within: value })} /></label>`}
      ${asks && asks.capped && html`<span class="pair" role="group" aria-label="cap of the rear centre">rear centre from
        <${Typed} name="cap-low" label="least rear centre" size=${5} hint="default" numbers=${true} now=${low || ""} tell=${(/** @type {string} */ value) => cap(value, high || "")} /> to
        <${Typed} name="cap-high" label="most rear centre" size=${5} hint="default" numbers=${true} now=${high || ""} unit="mm" said=${refusedAt({ long, at: "cap", trouble })} tell=${(/** @type {string} */ value) => cap(low || "", value)} /></span>`}
      ${rule && html`<${AsJson} address=${`/steps.json?${asked}`} name="steps" />`}</form>
    ${rule && html`<${Progress} found=${found} trouble=${trouble} progress=${progress} long=${long} />`}
    ${rule && found && html`<p class="none">${found.told}</p>
    ${found.missed.length > 0 && html`<h2>The rule is not met</h2><ul class="reasons">${found.missed.map((why) => html`<li class="missed">${why}</li>`)}</ul>`}
    <h2>${of === "bar" ? "Stem, bar and spacers" : "Dimensions"}</h2>
    <${Table} name="dimensions before and after" hide=${true} figures=${found.heads.map((_, i) => i).slice(1)} head=${[of === "bar" ? "part" : "dimension", ...found.heads.slice(1)]} rows=${cells(found.dimensions)} />
    <p class="orders"><button type="button" name="take-steps" disabled=${!found.changes.length || Boolean(progress)} onClick=${take}>take into the draft</button>
      <span class="none">${found.changes.length ? `${found.changes.length} changes as one step, which undo takes back; what follows stands beside, for all sizes` : "Nothing changes: the draft is so already."}</span></p>
    <h2>On the rider that each size is made for, standing</h2>
    <${Table} name="what each size does to its own rider" hide=${true} figures=${found.fact_heads.map((_, i) => i).slice(1)} head=${found.fact_heads} rows=${found.facts} />
    <h2>What each rule costs</h2>
    <${Table} name="what each rule costs, spreads over the sizes" hide=${true} figures=${[1, 2, 3, 4, 5, 6, 7]} head=${["rule", ...found.cost_heads.slice(1)]} rows=${found.costs} />
    <${Sentences} notes=${found.notes} />`}`;
}
