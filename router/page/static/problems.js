/**
 * Faults and tasks, each at the part that it belongs to. Pure.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./types.js").Fault} Fault
 * @typedef {{kind: "fault"|"task"|"advice", what: string, why: string, where: string, file: "profile"|"job", path: Path|null, near_mm: number|null, later: boolean}} Problem
 * `later`: assumed, and far enough from every route that it may stay so for now.
 */

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

const NEAR_MM = 300; // what is assumed nearer to a route than this may move it

/**
 * Whether it is a length without which nothing can be planned well: that comes before all other measuring.
 * @param {Problem} problem
 */
const isNeeded = (problem) => problem.path?.[0] === "needed";

/**
 * Everything that somebody should look at: faults, then what is still to be measured, nearest to the route first, then advice.
 * @param {State|null} state
 * @returns {Problem[]}
 */
export function problemsOf(state) {
  if (!state) return [];
  const faults = state.faults.map((fault) => /** @type {Problem} */ ({
    kind: fault.severity === "fault" ? "fault" : "advice", what: fault.what, why: fault.cure, where: fault.where, file: fault.file, path: fault.path, near_mm: null, later: false,
  }));
  const tasks = state.tasks.map((task) => /** @type {Problem} */ ({
    kind: "task", what: task.what, why: task.why, where: "", file: task.file, path: task.path, near_mm: task.near_mm,
    later: task.path[task.path.length - 1] === "assumed" && (task.near_mm === null || task.near_mm > NEAR_MM),
  })).sort((one, other) => Number(isNeeded(other)) - Number(isNeeded(one)) || Number(one.later) - Number(other.later) || (one.near_mm ?? Infinity) - (other.near_mm ?? Infinity) || 0);
  return [...faults.filter((each) => each.kind === "fault"), ...tasks, ...faults.filter((each) => each.kind === "advice")];
}
