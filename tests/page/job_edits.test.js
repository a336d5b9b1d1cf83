import assert from "node:assert/strict";
import test from "node:test";

import * as edits from "../../router/page/static/job_edits.js";

const JOB = {
  places: [
    { name: "lamp", space: "cabin", at: [1, 2] },
    { name: "stud", space: "cabin", at: [3, 4] },
    { name: "switch", space: "cabin", at: [5, 6] },
  ],
  runs: [
    { run: "supply", from: "battery positive", to: "lamp", via: ["sill flange"], avoid: ["floor plug", "hump"] },
    { run: "earth", from: "lamp", to: ["stud", "left earth"] },
  ],
};

test("going by a part adds to the list that is there, and takes the ban away", () => {
  assert.deepEqual(edits.goBy(JOB, 0, "hump"), [
    { file: "job", op: "remove", path: ["runs", 0, "avoid", 1] },
    { file: "job", op: "add", path: ["runs", 0, "via"], value: "hump" },
  ]);
  assert.deepEqual(edits.goBy(JOB, 1, "hump"), [{ file: "job", op: "set", path: ["runs", 1, "via"], value: ["hump"] }]);
  assert.deepEqual(edits.goBy(JOB, 0, "sill flange"), []);
});

test("not using the only part gone by takes the key away", () => {
  assert.deepEqual(edits.doNotUse(JOB, 0, "sill flange"), [
    { file: "job", op: "remove", path: ["runs", 0, "via"] },
    { file: "job", op: "add", path: ["runs", 0, "avoid"], value: "sill flange" },
  ]);
});

test("a part told about twice is let go twice, the later one first, so that no index moves", () => {
  const job = { runs: [{ avoid: ["a", "b", "a"] }] };
  assert.deepEqual(edits.freely(job, 0, "a"), [
    { file: "job", op: "remove", path: ["runs", 0, "avoid", 2] },
    { file: "job", op: "remove", path: ["runs", 0, "avoid", 0] },
  ]);
});

test("one name without a list becomes a list when a second joins it", () => {
  const job = { runs: [{ via: "a" }] };
  assert.deepEqual(edits.goBy(job, 0, "b"), [{ file: "job", op: "set", path: ["runs", 0, "via"], value: ["a", "b"] }]);
});

test("what a run was told about a part is read back", () => {
  assert.deepEqual(["sill flange", "hump", "roof"].map((name) => edits.told(JOB.runs[0], name)), ["via", "avoid", null]);
});

test("a field that is emptied takes its key away, and only if it is there", () => {
  const path = ["runs", 0, "conductors", 0, "load"];
  assert.deepEqual(edits.typed(path, " 9 A ", false), [{ file: "job", op: "set", path, value: "9 A" }]);
  assert.deepEqual(edits.typed(path, " ", true), [{ file: "job", op: "remove", path }]);
  assert.deepEqual(edits.typed(path, "", false), []);
});

test("a place of the job can be moved, a terminal of the vehicle cannot", () => {
  assert.deepEqual(edits.movePlace(JOB, "stud", [7, 8]), [
    { file: "job", op: "set", path: ["places", 1, "at"], value: [7, 8] },
  ]);
  assert.deepEqual(edits.movePlace(JOB, "battery positive", [7, 8]), []);
});

test("with a run go the places that only it ended at", () => {
  assert.deepEqual(edits.removeRun(JOB, 1), [
    { file: "job", op: "remove", path: ["runs", 1] },
    { file: "job", op: "remove", path: ["places", 1] },
  ]);
});

test("a job that is broken or not there has no runs and no places", () => {
  for (const job of [null, {}, { runs: 5, places: "none" }, { runs: [null, 7] }]) {
    assert.ok(edits.runsOf(job).every((run) => edits.conductorsOf(run).length === 0));
    assert.deepEqual(edits.placesOf(job), []);
  }
});
