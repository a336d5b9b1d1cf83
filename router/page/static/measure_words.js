/**
 * What is still to be measured, in words, in the order in which it matters. `To do` and `Plan`
 * both list this. Touches no page. Lengths in mm.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./types.js").Task} Task
 * @typedef {import("./way_words.js").Plan} Plan
 * @typedef {{path: Path, file: "profile"|"job", what: string, why: string, mark: string, near_mm: number|null}} MeasureRow
 */
import { samePath } from "./edits.js";
import { tapeWords } from "./way_words.js";

const AT_IT_MM = 1;

/**
 * Return first what is needed and what the plan hangs on, then what is not said at all, then what may stay assumed as long as no run comes
 * near it.
 *
 * @param {State | null} state
 * @param {Plan | null} plan
 * @returns {{now: MeasureRow[], missing: MeasureRow[], later: MeasureRow[]}}
 */
export function measureRows(state, plan) {
  if (!state) return { now: [], missing: [], later: [] };
  const unit = state.files.profile.unit ?? "mm";
  const hangsOn = hangingOn(state, plan, unit);
  const isTold = (/** @type {Task} */ task) => hangsOn.some((row) => row.file === task.file && samePath([...row.path, "assumed"], task.path));
  const isAssumed = (/** @type {Task} */ task) => task.path.at(-1) === "assumed";
  const isAtIt = (/** @type {Task} */ task) => !plan && task.near_mm !== null && task.near_mm < AT_IT_MM;
  const assumed = state.tasks.filter((task) => isAssumed(task) && !isTold(task));
  const missing = state.tasks.filter((task) => !isAssumed(task) && !isNeeded(task));
  const row = (/** @type {Task} */ task) =>
    ({ path: task.path, file: task.file, what: task.what, why: task.why, mark: markOf(task.near_mm, unit), near_mm: task.near_mm });
  const rows = (/** @type {Task[]} */ tasks) => tasks.map(row).sort((one, other) => (one.near_mm ?? Infinity) - (other.near_mm ?? Infinity) || 0);
  return { now: [...rows(state.tasks.filter(isNeeded)), ...hangsOn, ...rows(assumed.filter(isAtIt))], missing: rows(missing), later: rows(assumed.filter((task) => !isAtIt(task))) };
}

/**
 * Whether it is a length without which nothing can be planned well: that comes before all other measuring.
 * @param {Task} task
 */
const isNeeded = (task) => task.path[0] === "needed";

/**
 * @param {State} state
 * @param {Plan | null} plan
 * @param {string} unit
 * @returns {MeasureRow[]}
 */
function hangingOn(state, plan, unit) {
  return (plan?.still_to_measure ?? []).flatMap((each) => {
    const shape = state.shapes.find((shape) => shape.part === each.part && planName(shape) === each.name);
    if (!shape) return [];
    const off = tapeWords(each.assumed_mm, unit);
    const why = each.near_mm < AT_IT_MM ? `${each.run} lies at it` : `${each.run} passes ${tapeWords(each.near_mm, unit)} from it`;
    return [{ path: shape.path, file: shape.file, what: `${each.part} "${each.name}" may be off by ${off}`, why, mark: markOf(each.near_mm, unit), near_mm: each.near_mm }];
  });
}

/**
 * The name that a plan has for a part: a step and a pass are numbered in their space or member.
 * @param {import("./types.js").Shape} shape
 */
function planName({ part, name, path }) {
  return part === "step" || part === "pass" ? `${name}, ${part} ${Number(path.at(-1)) + 1}` : name;
}

/**
 * @param {number | null | undefined} near
 * @param {string} unit
 */
function markOf(near, unit) {
  if (near === null || near === undefined) return "to measure";
  return near < AT_IT_MM ? "on the way" : `${tapeWords(near, unit)} off`;
}
