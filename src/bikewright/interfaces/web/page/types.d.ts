// What the server tells the page, as reports/screen.py, reports/rooms.py and web/desk.py write it. For the type check
// alone: the browser never asks for this file.

import type { Pose } from "./symbols.js";

/** What a window looks at. */
export interface View {
  build: string;
  size: string;
  state: string;
  curves: string[];
  values: boolean;
  travel: boolean;
  sizes: boolean;
}

/** An entry of the catalogue. */
export interface Quantity {
  key: string;
  label: string;
  unit: string;
  decimals: number;
  meaning: string;
  family: string;
  felt_step: number | null;
  felt_as: "absolute" | "relative";
  scope: "build" | "state" | "travel" | "fork";
}

/** A part on a shelf, as it is named. */
export interface Named {
  name: string;
  describe: string;
}

/** What may be chosen, and what was changed. */
export interface Draft {
  position: number;
  length: number;
  can_undo: boolean;
  can_redo: boolean;
  dirty: boolean;
  base: string;
  pinned: string;
  changes: { id: string; build: string; address: string; text: string }[];
  parked: { id: string; changes: string[]; why: string }[];
  conflicts: { build: string; address: string; disk: string; screen: string; was: string }[];
  versions: string[];
  trouble: string;
  builds: string[];
  riders: string[];
  stock: Record<string, Named[]>;
}

/** The server's first answer. */
export interface Welcome {
  protocol: number;
  release: string;
  window: string;
  bike: { name: string; revision: string; maker: string };
  builds: { name: string; size: string }[];
  sizes: string[];
  states: Record<string, string>;
  stock: Record<string, Named[]>;
  riders: string[];
  catalogue: { quantities: Quantity[]; families: Record<string, string>; states: Record<string, string> };
  draft: Draft;
}

/** One quantity before and after. */
export interface Consequence {
  key: string;
  state: string;
  label: string;
  before: number | null;
  after: number | null;
  before_text: string;
  after_text: string;
  change_text: string;
  steps: number | null;
  steps_text: string;
}

export interface Verdict extends Consequence {
  was: string;
  is: string;
  band: string;
}

export interface Headline {
  family: string;
  lead: Consequence;
  felt: boolean;
  echoes: string[];
}

export interface Cause {
  address: string;
  text: string;
  steps: number;
  headlines: Headline[];
  pulls: string[];
}

/** What follows from a change, in one size. */
export interface Comparison {
  size: string;
  felt: boolean;
  refusals: { place: string; address: string; text: string }[];
  verdicts: Verdict[];
  causes: Cause[];
  lost: { label: string; reason: string }[];
}

/** A curve as plain lists. */
export interface Points {
  x: number[];
  y: (number | null)[];
  gap: string;
}

/** One curve of the draft with the pinned build's and the brief's band. */
export interface ShownCurve {
  address: string;
  label: string;
  unit: string;
  decimals: number;
  along: string;
  now: Points | null;
  before: Points | null;
  band: { low: number | null; high: number | null } | null;
  trouble: string;
}

/** One value of the draft and of the pinned build. */
export interface Figure {
  key: string;
  label: string;
  family: string;
  heading: string;
  meaning: string;
  number: number | null;
  text: string;
  before: number | null;
  before_text: string;
  change_text: string;
  waits: string;
}

/** A pin of the linkage with the addresses that place it. */
export interface PinPlace {
  name: string;
  joins: string[];
  x: number;
  z: number;
  x_address: string;
  z_address: string;
}

export interface BuildName {
  bike: string;
  revision: string;
  build: string;
  size: string;
  /** places and settings that are so because of the size */
  by_size: string[];
  key: string;
}

/** Everything that a window shows of one draft. */
export interface Screen {
  n: number;
  /** mark of the pinned build with what is shown of it: who has it says so, and is not sent it again */
  baseline: string;
  build: BuildName;
  state: string;
  trouble: string;
  pose: Pose | null;
  before: Pose | null;
  travel: Pose[];
  curves: ShownCurve[];
  values: Figure[];
  comparison: Comparison | null;
  pin_places: PinPlace[];
  /** tables of the build, for forms; with what a question asked for them */
  model?: Model;
  draft?: Draft;
  /** number of the list that belongs to it */
  told?: number;
}

/** The build looked at as tables: every value at its address. */
export interface Model {
  rider?: Table;
  parts: Record<string, Table | undefined>;
  frame: Table & {
    sizes: Record<string, Table & { reach_mm: number; stack_mm: number }>;
    linkage?: { chips?: Record<string, { positions: Record<string, Table> }> };
  };
  chips: Record<string, { position: string } | undefined>;
  settings: Record<string, Leaf>;
  loads: Record<string, Table>;
  [name: string]: unknown;
}

export type Leaf = string | number | boolean | null;
/** A table of a file. */
export interface Table {
  name?: string;
  describe?: string;
  [key: string]: unknown;
}

/** Why a request was refused, and where in the travel the linkage stops. */
export interface Trouble {
  n?: number;
  text: string;
  kind?: string;
  place: { stroke_mm: number | null; travel_mm: number | null; pin: string | null } | null;
  pose?: Pose | null;
  deed: boolean;
  changes: string[];
}

/** What the page knows. */
export interface State {
  /** the server's first answer; everything but the first words waits for it */
  welcome: Welcome | null;
  /** the last screen that could be drawn */
  screen: Screen | null;
  /** whether the last screen answers a change that is not made yet */
  trying: boolean;
  /** the comparison over all sizes */
  sizes: { n: number; rows: Comparison[] } | null;
  draft: Draft | null;
  model: Model | null;
  /** the last pose that could be drawn */
  good: Pose | null;
  /** poses through the travel, of the build whose key it has */
  travel: { key: string; poses: Pose[] };
  /** the last refused request */
  trouble: Trouble | null;
  /** what was just done, for the status line */
  said: string;
  line: "joining" | "open" | "lost";
  unsent: number;
  deeds: number;
  /** which point of the drawing is chosen */
  chosen: string;
  /** position in the travel that is shown, or null for the state itself */
  scrub: number | null;
  view: View;
  dimensions: boolean;
  /** a code that lets another machine in, while it is shown */
  invitation: { svg: string; warning: string; address: string } | null;
  room: string;
  theme: string;
  /** what is laid beside one another in the room of the versions: files, draft, labels */
  compare: string[];
  /** who rides and what is wanted, in the rooms of fit and set-up */
  ride: Ride;
}

/**
 * What is asked in the rooms about riders, as it is typed; empty for the build's own or the default. Several values of
 * one name stand with `;` between them.
 */
export interface Ride {
  rider: string;
  against: string;
  sag_front: string;
  sag_rear: string;
  base: string;
  /** a wanted place of the hands, as in seated-length=615 */
  want: string;
  outlines: string;
  population: string;
  women_pct: string;
  list: string;
  bound: string;
  own: string;
  for: string;
  rule: string;
  /** what is stepped: the frame, or the bar and what holds it */
  of: string;
  keep: string;
  step: string;
  within: string;
  cap: string;
  old: string;
  old_build: string;
}

/** What is said of a long answer besides: at which field it was refused, how to give it up, how to ask again. */
export interface Long {
  at: string;
  stop: () => void;
  again: () => void;
}

/** A line of the brief, as it stands for the build looked at. */
export interface BriefLine {
  line: string;
  label: string;
  /** label that no other line has, as short as it can be */
  spoken: string;
  for: string;
  unit: string;
  low: number | null;
  high: number | null;
  value_text: string;
  verdict: "" | "met" | "low" | "high" | "unknown";
  verdict_text: string;
  felt_own: number | null;
  felt_text: string;
  felt_from: string;
  felt_unit: string;
  why: string;
}

/** Two or three builds beside one another. */
export interface SideBySide {
  builds: { of: string; build: string; size: string }[];
  rows: { key: string; state: string; label: string; band: string; builds: BesideCell[] }[];
  pairs: { first: string; second: string; comparison: Comparison }[];
  poses: (Pose | null)[];
  curves: BesideCurve[];
}

export interface BesideCell {
  text: string;
  change_text: string;
  steps_text: string;
  felt: boolean;
  verdict: string;
  waits: string;
}

export interface BesideCurve {
  address: string;
  label: string;
  unit: string;
  decimals: number;
  along: string;
  lines: (Points | null)[];
}

/** A kept version in the list, or why it cannot be read. */
export interface KeptVersion {
  label: string;
  trouble?: string;
  name: string;
  note: string;
  parent: string;
  kept: string;
  build: string;
  size: string;
}

/** A cell of a table: text, or text with how it is shown. */
export type Cell = string | number | null | undefined | { text: string | number | null; class?: string; node?: unknown; span?: number };

/** The geometry chart over all sizes, as `/sizes.json` gives it. */
export interface Sizes {
  state: string;
  /** what differs from size to size, in the order of the sizes */
  by_size: { key: string; values: (string | number | null)[] }[];
  sizes: { build: BuildName; values: { key: string; state: string | null; value: number | null; waits?: string }[] }[];
}

/** A chart of plain lines, as reports/chart_data.py writes it. */
export interface PlainChart {
  title: string;
  x: PlainAxis;
  y: PlainAxis;
  lines: { name: string; style: string; x: (number | null)[]; y: (number | null)[] }[];
  markers: { x: number; y: number; text: string }[];
  notes: string[];
}

export interface PlainAxis {
  label: string;
  low: number;
  high: number;
  ticks: { at: number; text: string }[];
}

/** An angle of a rider's joint where it is, millimetres on the ground. */
export interface AngleMark {
  vertex: [number, number];
  first: [number, number];
  second: [number, number];
  radius: number;
  text: string;
  outside: boolean;
}

export interface FitPosture {
  name: string;
  label: string;
  heading: string;
  refusal: string;
  angles: { cells: string[]; outside: boolean }[];
  loads: string[];
  pose: Pose | null;
  marks: AngleMark[];
}

/** A rider's fit, as reports/fit_room.py writes it; rows are cells of text. */
export interface ShownFit {
  build: BuildName;
  rider: string;
  fits: boolean;
  verdict: string;
  reasons: string[];
  measures: string[][];
  measures_note: string;
  postures: FitPosture[];
  saddle: { told: string; rules: string[][] };
  post: { heading: string; rows: string[][]; refusal: string; waits: string; shelf: [string, string, string][]; fitting: string[]; now: string };
  cockpit: string[][];
  cockpit_told: string[];
  cockpit_waits: string[];
  hands: { want: string; label: string; text: string; now: string }[];
  notes: string[];
}

/** What each dimension does for a wanted place of the hands, as reports/range_room.py writes it. */
export interface ShownCockpit {
  want: string;
  told: string;
  heads: string[];
  solutions: {
    by: string;
    words: string;
    refused: string;
    cells: string[] | null;
    reached: string;
    change: string;
    stops?: string[];
    follows: Comparison | null;
  }[];
  notes: string[];
}

/** A firm's list beside the coverage, as reports/buying.py writes it. */
export interface ShownBuyers {
  heading: string;
  heads: string[];
  rows: string[][];
  notes: string[];
  other_heads: string[];
  others: string[][];
  others_more: string;
  unfitted_heading: string;
  unfitted: string[];
  marks: Record<string, PlainMarks>;
}

/** Marks in a chart by style, with what each style means. */
export interface PlainMarks {
  points: { x: number; y: number; style: string }[];
  key: [string, string][];
  note: string;
}

/** An angle whose range may be stated anew. */
export interface ShownBound {
  bound: string;
  posture: string;
  label: string;
  low: string;
  high: string;
  source: string;
}

/** What can be stepped: the rules for it, the steps that may be stated, and by how much a rule may be missed. */
export interface ShownStepped {
  of: string;
  words: string;
  rules: { rule: string; words: string; steps: { name: string; label: string }[]; within: string; unit: string; capped: boolean }[];
}

/** Bars over stature: a row of old sizes, one of new ones, and who goes where. */
export interface RangeBars {
  axis: PlainAxis;
  rows: { name: string; lanes: number; bars: { text: string; low: number; high: number; lane: number }[] }[];
  moves: { low: number; high: number; text: string; end: "" | "loses" | "wins" }[];
  spoken: string;
}

/** An old range to a new one. */
export interface ShownRegroup {
  heading: string;
  people: string;
  loses: string[];
  wins: string[];
  nobody: string[];
  heads: string[];
  groups: { heading: string; who: string; rider: string; rows: { cells: string[]; felt: boolean }[] }[];
  bars: Record<string, RangeBars>;
  notes: string[];
}

/** Whom the sizes fit. */
export interface ShownCoverage {
  build: BuildName;
  people: string;
  whole: boolean;
  charts: Record<string, PlainChart>;
  buyers: ShownBuyers | null;
  /** why a list could not be read; the coverage is there all the same */
  list_trouble?: string;
  bounds: string;
  sold_heads: string[];
  sold: string[][];
  heads: string[];
  bands: string[][];
  edges: string[][];
  neighbours: string[];
  notes: string[];
}

/** Sizes stepped by a rule. */
export interface ShownSteps {
  build: BuildName;
  rule: string;
  keep: string;
  met: boolean;
  told: string;
  heads: string[];
  dimensions: string[][];
  fact_heads: string[];
  facts: string[][];
  missed: string[];
  cost_heads: string[];
  costs: string[][];
  changes: string[];
  notes: string[];
}

/** A set-up, as reports/setup_room.py writes it. */
export interface ShownSetup {
  build: BuildName;
  rider: string;
  refused: string[];
  steps: { title: string; lines: [string, string, string][]; told: string[] }[];
  choices: { name: string; heads: string[]; rows: string[][] }[];
  sags: Record<string, number>;
  reference: string;
  beside: { heads: string[]; rows: { cells: string[]; differs: boolean }[] } | null;
  comparison: Comparison | null;
  changes: string[];
  notes: string[];
}

/** The coil question. */
export interface ShownCoil {
  build: BuildName;
  may: "yes" | "no" | "waits";
  answer: string;
  reasons: [string, string, string][];
  laid: { told: [string, string, string]; rows: string[][]; support: string; chart: PlainChart } | null;
  laid_waits: string;
  notes: string[];
}

/** A base tune table. */
export interface ShownTunes {
  base: string;
  builds: { heading: string; heads: string[]; rows: { text: string; below: string }[][]; refused: string[]; waits: string[] }[];
  notes: string[];
}
