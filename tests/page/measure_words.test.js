import assert from "node:assert/strict";
import test from "node:test";

import { measureRows } from "../../router/page/static/measure_words.js";

const task = (/** @type {number|null} */ near, /** @type {number} */ index = 0) =>
  ({ file: "profile", path: ["supports", index, "assumed"], what: "w", why: "y", near_mm: near });

/** @returns {any} */
const stateIn = (/** @type {string} */ unit, /** @type {unknown[]} */ tasks, /** @type {unknown[]} */ shapes = []) =>
  ({ files: { profile: { unit } }, tasks, shapes });

test("without a plan that says what it hangs on, what the way lies at comes first", () => {
  const { now, later } = measureRows(stateIn("mm", [task(0.2), task(850), task(null)]), null);
  assert.deepEqual(now.map((row) => row.mark), ["on the way"]);
  assert.deepEqual(later.map((row) => row.mark), ["0.85 m off", "to measure"]);
  const inches = measureRows(stateIn("in", [task(254)]), null);
  assert.deepEqual(inches.later.map((row) => row.mark), ["10 in off"]); // 254 mm = 10 in
  assert.deepEqual(measureRows(null, null), { now: [], later: [] });
});

test("what the plan hangs on comes first, each part once, all else may stay assumed", () => {
  const shape = { file: "profile", part: "support", name: "sill", path: ["supports", 1] };
  const hanging = (/** @type {number} */ near, name = "sill") => ({ part: "support", name, assumed_mm: 60, near_mm: near, run: "supply" });
  /** @type {any} */
  const plan = { still_to_measure: [hanging(0), hanging(40, "not on this vehicle")] };
  const { now, later } = measureRows(stateIn("mm", [task(0, 1), task(0, 2)], [shape]), plan);
  assert.deepEqual(now, [
    { path: ["supports", 1], file: "profile", what: 'support "sill" may be off by 0.06 m', why: "supply lies at it", mark: "on the way" },
  ]);
  assert.deepEqual(later.map((row) => row.path[1]), [2]);
  /** @type {any} */
  const beside = { still_to_measure: [hanging(40)] };
  assert.equal(measureRows(stateIn("mm", [], [shape]), beside).now[0].why, "supply passes 0.04 m from it");
});
