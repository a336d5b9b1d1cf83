/**
 * What is still to be measured, in words, in the order in which it matters. Touches no page. Lengths in mm.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./way_words.js").Plan} Plan
 * @typedef {{path: Path, file: "profile"|"job", what: string, why: string, mark: string}} MeasureRow
 */
import { samePath } from "./edits.js";
import { tapeWords } from "./way_words.js";

const AT_IT_MM = 1;

/**
 * Return first what the plan hangs on, then what may stay assumed as long as no run comes near it.
 *
 * @param {State | null} state
 * @param {Plan | null} plan
 * @returns {{now: MeasureRow[], later: MeasureRow[]}}
 */
export function measureRows(state, plan) {
  if (!state) return { now: [], later: [] };
  const unit = state.files.profile.unit ?? "mm";
  const hangsOn = hangingOn(state, plan, unit);
  const rest = state.tasks.filter((task) => !hangsOn.some((row) => row.file === task.file && samePath(row.path, task.path.slice(0, row.path.length))));
  const isNear = (/** @type {import("./types.js").Task} */ task) => !plan?.still_to_measure && task.near_mm !== null && task.near_mm < AT_IT_MM;
  const row = (/** @type {import("./types.js").Task} */ task) =>
    ({ path: task.path, file: task.file, what: task.what, why: task.why, mark: markOf(task.near_mm, unit) });
  return { now: [...hangsOn, ...rest.filter(isNear).map(row)], later: rest.filter((task) => !isNear(task)).map(row) };
}

/**
 * @param {State} state
 * @param {Plan | null} plan
 * @param {string} unit
 * @returns {MeasureRow[]}
 */
function hangingOn(state, plan, unit) {
  return (plan?.still_to_measure ?? []).flatMap((each) => {
    const shape = state.shapes.find(({ part, name }) => part === each.part && name === each.name);
    if (!shape) return [];
    const off = tapeWords(each.assumed_mm, unit);
    const why = each.near_mm < AT_IT_MM ? `${each.run} lies at it` : `${each.run} passes ${tapeWords(each.near_mm, unit)} from it`;
    return [{ path: shape.path, file: shape.file, what: `${each.part} "${each.name}" may be off by ${off}`, why, mark: markOf(each.near_mm, unit) }];
  });
}

/**
 * @param {number | null | undefined} near
 * @param {string} unit
 */
function markOf(near, unit) {
  if (near === null || near === undefined) return "to measure";
  return near < AT_IT_MM ? "on the way" : `${tapeWords(near, unit)} off`;
}
