/**
 * Faults and tasks, each at the part that it belongs to. Pure.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./types.js").Fault} Fault
 * @typedef {import("./way_words.js").Plan} Plan
 * @typedef {import("./measure_words.js").MeasureRow} MeasureRow
 * @typedef {{kind: "fault"|"task"|"advice", what: string, why: string, where: string, file: "profile"|"job", path: Path|null, near_mm: number|null, when: "first"|"now"|"later"}} Problem
 * `first`: the plan hangs on it. `later`: assumed, and no plan hangs on it, so that it may stay so for now.
 */
import { measureRows } from "./measure_words.js";

/**
 * @param {Path} path
 * @param {Path|null} below
 */
function holds(path, below) {
  return !!below && path.length <= below.length && path.every((key, number) => key === below[number]);
}

/**
 * The part that a path leads to or into: the deepest one.
 * @param {State|null} state
 * @param {"profile"|"job"} file
 * @param {Path|null} path
 * @returns {Shape|null}
 */
export function shapeOf(state, file, path) {
  const met = (state?.shapes ?? []).filter((shape) => shape.file === file && holds(shape.path, path));
  return met.sort((one, other) => other.path.length - one.path.length)[0] ?? null;
}

/**
 * What is wrong with a part, or doubtful.
 * @param {State|null} state
 * @param {Shape} shape
 * @returns {Fault[]}
 */
export function faultsOf(state, shape) {
  return (state?.faults ?? []).filter((fault) => shapeOf(state, fault.file, fault.path) === shape);
}

/**
 * Everything that somebody should look at: faults, then what is needed and what the plan hangs on, what is not said,
 * what may stay assumed, each the nearest to the route first, then advice.
 * @param {State|null} state
 * @param {Plan|null} [plan]
 * @returns {Problem[]}
 */
export function problemsOf(state, plan = null) {
  if (!state) return [];
  const faults = state.faults.map((fault) => /** @type {Problem} */ ({
    kind: fault.severity === "fault" ? "fault" : "advice", what: fault.what, why: fault.cure, where: fault.where, file: fault.file, path: fault.path, near_mm: null, when: "now",
  }));
  const { now, missing, later } = measureRows(state, plan);
  const tasks = (/** @type {MeasureRow[]} */ rows, /** @type {Problem["when"]} */ when) => rows.map((row) => /** @type {Problem} */ ({
    kind: "task", what: row.what, why: row.why, where: "", file: row.file, path: row.path, near_mm: row.near_mm, when,
  }));
  return [...faults.filter((each) => each.kind === "fault"), ...tasks(now, "first"), ...tasks(missing, "now"), ...tasks(later, "later"), ...faults.filter((each) => each.kind === "advice")];
}
