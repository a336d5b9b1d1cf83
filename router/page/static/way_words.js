/**
 * What a plan says to a fitter, in words: how good it is, lengths, conductors, fuses, findings, alternatives, the bill.
 * It reads plan.json and touches no page. Lengths in mm.
 *
 * @typedef {import("./stations.js").WayPoint} WayPoint
 * @typedef {{severity: string, run: string | null, station: number | null, what: string, required?: string | null,
 *   actual?: string | null, rule?: {name: string, source: string, status: string} | null}} Finding
 * @typedef {{station: number, to_station: number, why: string}} Reason
 * @typedef {{points: WayPoint[], routed_mm: number, more_effort: number, differs: string[], worse: string[], way: string}} Alternative
 * @typedef {{name: string, colour: string, size: string, load_a?: number | null, drop_percent?: number | null}} PlannedConductor
 * @typedef {{rating_a: number, station: number, second_station_mm?: number | null, colour?: string | null}} PlannedFuse
 * @typedef {{name: string, from: string, to: string, points: WayPoint[], routed_mm: number, cut_mm: number,
 *   uncertainty_mm?: number, conductors: PlannedConductor[], fuse: PlannedFuse | null,
 *   fixings: {shared_with?: string | null, hole?: unknown, kind?: string, x?: number, y?: number}[], reasons: Reason[],
 *   alternatives: Alternative[]}} PlannedRun
 * @typedef {{item: string, spec: string, quantity: number, unit: string, where: string}} BillLine
 * @typedef {{gap: number, runs: PlannedRun[], findings: Finding[], bill: BillLine[],
 *   still_to_measure?: StillToMeasure[]}} Plan
 * @typedef {{part: string, name: string, assumed_mm: number, near_mm: number, run: string}} StillToMeasure
 * @typedef {{says: string, run?: string | null, pinch: Pinch | null, cures: string[]}} NoWay
 * @typedef {{at: [number, number] | null, space?: string | null, [key: string]: unknown}} Pinch
 * @typedef {{revision?: number, stage: "none" | "planning" | "answer" | "proof" | "refused", says?: string | null,
 *   plan: Plan | null, no_way: NoWay | null}} PlanAnswer
 */

import { pointAt } from "./stations.js";

const TAPE_MM = 5; // a tape along a loom reads no finer
const INCH_MM = 25.4;
const MOST_OFF_TO_CUT_MM = 100;
const LEAST_GAP_TOLD = 0.00005;
/** @type {Readonly<Record<string, number>>} */
const WEIGHT = Object.freeze({ must: 0, should: 1, note: 2 });

/** The stages in which a plan is the newest, so that it can be judged. */
export const VERDICT_STAGES = ["answer", "proof"];

/** What each weight of a finding means to the person who fits. */
export const WEIGHT_WORDS = Object.freeze({
  must: "put right before anything is fitted",
  should: "look at it, and put it right where you can",
  note: "good to know",
});

/**
 * Return a length as it is read off a tape: metres to 5 mm, or inches to a quarter.
 *
 * @param {number} mm
 * @param {string} [unit] of the profile
 */
export function tapeWords(mm, unit = "mm") {
  if (unit !== "in") return `${((TAPE_MM * Math.round(mm / TAPE_MM)) / 1000).toFixed(3).replace(/0$/, "")} m`;
  const quarters = Math.round((mm / INCH_MM) * 4);
  const fraction = ["", "1/4", "1/2", "3/4"][quarters % 4];
  const whole = Math.floor(quarters / 4);
  return `${[whole || !fraction ? whole : "", fraction].filter((each) => each !== "").join(" ")} in`;
}

/**
 * Return what stands against fitting by a plan: first what must be put right, then what is to be measured.
 * Its weight is "must", "should" (an answer to look at) or "clear".
 *
 * @param {Plan} plan
 * @param {number} toMeasure How many parts that nobody measured yet the plan hangs on.
 * @returns {{weight: "must"|"should"|"clear", says: string}}
 */
export function verdictOf(plan, toMeasure) {
  const [musts, shoulds] = ["must", "should"].map((weight) => plan.findings.filter((each) => each.severity === weight).length);
  if (musts) return { weight: "must", says: `Do not start: ${musts} must be put right${toMeasure ? `, ${toMeasure} to measure first` : ""}` };
  const look = shoulds ? `${shoulds} finding${shoulds > 1 ? "s" : ""} to look at` : "";
  if (toMeasure) return { weight: "should", says: `Measure ${toMeasure} place${toMeasure > 1 ? "s" : ""} first${look ? `, ${look}` : ""}` };
  return look ? { weight: "should", says: `Before you start: ${look}` } : { weight: "clear", says: "Nothing stands against this plan" };
}

/**
 * Return in one line how far the planner is, and what is proven of the way's effort: nothing about whether to fit it.
 *
 * @param {PlanAnswer} answer
 */
export function headline(answer) {
  if (answer.no_way) return "There is no way through.";
  switch (answer.stage) {
    case "none":
      return "Nothing to plan yet.";
    case "planning":
      return answer.plan ? "Planning anew. What you see is the plan before." : "Planning.";
    case "refused":
      return "Not planned.";
    case "answer":
      return "This way is not proven yet to be the best.";
    default:
      return provenWords(answer.plan?.gap ?? 0);
  }
}

/** @param {number} gap */
function provenWords(gap) {
  if (gap < LEAST_GAP_TOLD) return "The way is proven: none takes less effort.";
  const percent = Math.ceil(gap * 1000 - 1e-6) / 10;
  return `The way is proven to take at most ${percent.toFixed(1)} % more effort than the best.`;
}

/**
 * Return the findings, the weighty first, each with where it lies on the drawing (null where it lies nowhere).
 *
 * @param {Plan} plan
 * @returns {{finding: Finding, at: WayPoint | null}[]}
 */
export function rankedFindings(plan) {
  const order = new Map(plan.runs.map((run, index) => [run.name, index]));
  const rank = (/** @type {Finding} */ each) => [
    WEIGHT[each.severity] ?? 3,
    order.get(each.run ?? "") ?? plan.runs.length,
    each.station ?? Infinity,
  ];
  return plan.findings
    .map((finding) => ({ finding, at: placeOf(plan, finding) }))
    .sort((a, b) => compared(rank(a.finding), rank(b.finding)));
}

/**
 * @param {Plan} plan
 * @param {Finding} finding
 */
function placeOf(plan, finding) {
  const run = plan.runs.find((each) => each.name === finding.run);
  return run && finding.station !== null ? pointAt(run.points, finding.station) : null;
}

/**
 * @param {number[]} one
 * @param {number[]} other
 */
function compared(one, other) {
  const index = one.findIndex((value, at) => value !== other[at]);
  return index < 0 ? 0 : one[index] < other[index] ? -1 : 1;
}

/**
 * Return how many findings there are of each weight, in words; null where there are none.
 *
 * @param {Plan} plan
 */
export function findingCount(plan) {
  const counts = Object.keys(WEIGHT)
    .map((weight) => ({ weight, count: plan.findings.filter((each) => each.severity === weight).length }))
    .filter(({ count }) => count > 0);
  return counts.length ? counts.map(({ weight, count }) => `${count} ${weight}`).join(", ") : null;
}

/**
 * Return what a run needs, a line each: term and words.
 *
 * @param {PlannedRun} run
 * @param {string} [unit]
 * @param {string | null} [warning] what speaks against cutting it
 * @returns {[string, string][]}
 */
export function runFacts(run, unit = "mm", warning = null) {
  return [
    ["Length", `${tapeWords(run.routed_mm, unit)} on the vehicle`],
    ["Cut at", `${tapeWords(run.cut_mm, unit)}${warning ? `; ${warning}` : ""}`],
    ["Conductors", conductorWords(run)],
    ["Fuse", fuseWords(run.fuse, unit)],
    ["Fixings", fixingWords(run)],
  ];
}

/**
 * Return what speaks against cutting a run as it is planned: it is uncertain by much, or it hangs on what nobody measured.
 * The plan names of each such part only the run nearest to it, so that a run's own ends are looked at too.
 *
 * @param {PlannedRun} run
 * @param {Plan} plan
 * @param {string} [unit]
 * @returns {string | null}
 */
export function cutWarning(run, plan, unit = "mm") {
  const off = run.uncertainty_mm ?? 0;
  const hangs = (plan.still_to_measure ?? []).some((each) => each.run === run.name ||
    (["terminal", "place"].includes(each.part) && [run.from, run.to].includes(each.name)));
  if (off <= MOST_OFF_TO_CUT_MM && !hangs) return null;
  return `do not cut before measuring: it may be off by ${unit === "in" ? tapeWords(off, unit) : `${Math.round(off)} mm`}`;
}

/** @param {PlannedRun} run */
function conductorWords(run) {
  return run.conductors.map((each) => `${each.name} ${each.size} ${each.colour}`).join(", ") || "none";
}

/**
 * @param {PlannedFuse | null} fuse
 * @param {string} unit
 */
function fuseWords(fuse, unit) {
  if (!fuse) return "none on this run";
  const stations = [fuse.station, fuse.second_station_mm].filter((each) => typeof each === "number");
  return `${fuse.rating_a} A, ${stations.map((each) => tapeWords(each, unit)).join(" and ")} from the start`;
}

/** @param {PlannedRun} run */
function fixingWords(run) {
  const own = run.fixings.filter((each) => !each.shared_with);
  const shared = run.fixings.length - own.length;
  const holes = own.filter((each) => each.hole).length;
  const words = [`${own.length}`];
  if (shared) words.push(`and ${shared} shared with another run`);
  if (holes) words.push(`${holes} hole${holes > 1 ? "s" : ""} to drill`);
  return words.join(", ");
}

/**
 * Return why a run lies as it does at a station: the reasons that hold there, else the nearest one before it.
 *
 * @param {PlannedRun} run
 * @param {number} station
 * @returns {Reason[]}
 */
export function reasonsAt(run, station) {
  const close = TAPE_MM * 2; // a reason for one point, a turn or an opening, is met by a finger near it
  const here = run.reasons.filter((each) => each.station - close <= station && station <= each.to_station + close);
  if (here.length) return here;
  const before = run.reasons.filter((each) => each.station <= station);
  return before.length ? [before.reduce((last, each) => (each.station >= last.station ? each : last))] : [];
}

/**
 * Return where a reason holds: two stations, or one where it is a point.
 *
 * @param {Reason} reason
 * @param {string} [unit]
 */
export function stretchWords(reason, unit = "mm") {
  const [from, to] = [tapeWords(reason.station, unit), tapeWords(reason.to_station, unit)];
  return from === to ? `at ${from}` : `${from} to ${to}`;
}

/**
 * Return another way in words: how long, what differs from the chosen one, and what it costs more.
 *
 * @param {Alternative} other
 * @param {string} [unit]
 */
export function alternativeWords(other, unit = "mm") {
  const effort = (Math.max(0, other.more_effort) / 1000).toFixed(2);
  return { length: tapeWords(other.routed_mm, unit), differs: other.differs, worse: other.worse, effort: `effort of ${effort} m more` };
}

/**
 * Return the bill, a line a part with quantity and unit.
 *
 * @param {Plan} plan
 */
export function billRows(plan) {
  return plan.bill.map((line) => ({
    quantity: line.unit === "piece" ? `${line.quantity}` : `${line.quantity} ${line.unit}`,
    item: line.item,
    spec: line.spec,
    where: line.where,
  }));
}
