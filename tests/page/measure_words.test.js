import assert from "node:assert/strict";
import test from "node:test";

import { measureRows } from "../../router/page/static/measure_words.js";
import { problemsOf } from "../../router/page/static/problems.js";

const task = (/** @type {number|null} */ near, /** @type {number} */ index = 0) =>
  ({ file: "profile", path: ["supports", index, "assumed"], what: "w", why: "y", near_mm: near });

/** @returns {any} */
const stateIn = (/** @type {string} */ unit, /** @type {unknown[]} */ tasks, /** @type {unknown[]} */ shapes = []) =>
  ({ files: { profile: { unit } }, tasks, shapes });

test("without a plan, what the way lies at comes first", () => {
  const { now, later } = measureRows(stateIn("mm", [task(0.2), task(850), task(null)]), null);
  assert.deepEqual(now.map((row) => row.mark), ["on the way"]);
  assert.deepEqual(later.map((row) => row.mark), ["0.85 m off", "to measure"]);
  const inches = measureRows(stateIn("in", [task(254)]), null);
  assert.deepEqual(inches.later.map((row) => row.mark), ["10 in off"]); // 254 mm = 10 in
  assert.deepEqual(measureRows(null, null), { now: [], missing: [], later: [] });
});

test("what the plan hangs on comes first, each part once, all else may stay assumed", () => {
  const shape = { file: "profile", part: "support", name: "sill", path: ["supports", 1] };
  const hanging = (/** @type {number} */ near, name = "sill") => ({ part: "support", name, assumed_mm: 60, near_mm: near, run: "supply" });
  /** @type {any} */
  const plan = { still_to_measure: [hanging(0), hanging(40, "not on this vehicle")] };
  const noHeights = { ...task(0, 1), path: ["supports", 1, "heights"] };
  const { now, missing, later } = measureRows(stateIn("mm", [task(0, 1), noHeights, task(0, 2)], [shape]), plan);
  assert.deepEqual(now, [
    { path: ["supports", 1], file: "profile", what: 'support "sill" may be off by 0.06 m', why: "supply lies at it", mark: "on the way", near_mm: 0 },
  ]);
  assert.deepEqual(missing.map((row) => row.path[2]), ["heights"]);
  assert.deepEqual(later.map((row) => row.path[1]), [2]);
  /** @type {any} */
  const beside = { still_to_measure: [hanging(40)] };
  assert.equal(measureRows(stateIn("mm", [], [shape]), beside).now[0].why, "supply passes 0.04 m from it");
});

test("a step and a pass that the plan hangs on are found by their number", () => {
  const shapes = [
    { file: "profile", part: "step", name: "underfloor", path: ["spaces", "underfloor", "steps", 1] },
    { file: "profile", part: "pass", name: "beam", path: ["members", 4, "passes", 0] },
  ];
  const named = [["step", "underfloor, step 2"], ["pass", "beam, pass 1"]];
  /** @type {any} */
  const plan = { still_to_measure: named.map(([part, name]) => ({ part, name, assumed_mm: 60, near_mm: 0, run: "supply" })) };
  assert.deepEqual(measureRows(stateIn("mm", [], shapes), plan).now.map((row) => row.path), shapes.map((each) => each.path));
});

test("to do and plan list the same: what the plan hangs on first, and what may stay assumed last", () => {
  const shape = { file: "profile", part: "support", name: "sill", path: ["supports", 1] };
  /** @type {any} */
  const plan = { still_to_measure: [{ part: "support", name: "sill", assumed_mm: 60, near_mm: 2, run: "supply" }] };
  const state = { ...stateIn("mm", [task(0, 7), task(2, 1), { ...task(90, 3), path: ["supports", 3, "heights"] }], [shape]), faults: [] };
  const listed = (/** @type {any} */ known) => problemsOf(state, known).map((each) => `${each.when} ${each.path?.[1]}`);
  assert.deepEqual(listed(plan), ["first 1", "now 3", "later 7"]);
  const { now, missing, later } = measureRows(state, plan);
  assert.deepEqual([now, missing, later].map((rows) => rows.map((row) => row.path[1])), [[1], [3], [7]]);
  const needed = { ...state, tasks: [...state.tasks, { ...task(null), path: ["needed", 9] }] };
  assert.deepEqual(problemsOf(needed, plan).map((each) => each.path?.[1]), [9, 1, 3, 7]);
  assert.equal(measureRows(needed, plan).now.length, 2); // what the banner counts, and the tab
  assert.deepEqual(listed({}), ["now 3", "later 7", "later 1"]); // a plan that hangs on nothing says nothing of it
  assert.deepEqual(listed(null), ["first 7", "now 3", "later 1"]);
});
