/** What makes a part measured: every reading that it has, and nothing less. Expected edits by hand. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { measuredEdits, readingsOf } from "../../router/page/static/readings.js";

/** @typedef {import("../../router/page/static/types.js").Shape} Shape */

/** @param {Partial<Shape>} given @returns {Shape} */
const shape = (given) => ({ file: "profile", path: ["keep-outs", 3], part: "keep-out", name: "pipe", form: "along", points: [[0, 100], [1000, 100]], assumed_mm: 60, ...given });
const PIPE = { name: "pipe", hazard: "hot", along: [[0, 100], [1000, 100]], width: "50 mm", heights: ["210 mm", "260 mm"], clearance: "80 mm", assumed: "60 mm" };
const UNITS = { file: "mm", typed: "mm" };
const keysOf = (/** @type {Shape} */ part, /** @type {any} */ raw) => readingsOf(part, raw, "mm").map((each) => each.key);
const PIPE_READ = { "0-x": 5, "0-y": 100, "1-x": 1000, "1-y": 120, "heights-0": 205, "heights-1": 260, width: 48 };

test("a part has a reading for each coordinate and each length that a tape reads, with what is drawn", () => {
  const readings = readingsOf(shape({}), PIPE, "mm");
  assert.deepEqual(readings.map(({ key, drawn_mm }) => [key, drawn_mm]),
    [["0-x", 0], ["0-y", 100], ["1-x", 1000], ["1-y", 100], ["heights-0", 210], ["heights-1", 260], ["width", 50]]);
  assert.equal(readings[0].label, "Point 1, to the rear");
});

test("each kind of part has its own readings, and none for what its file does not say", () => {
  const stud = shape({ part: "terminal", form: "at", points: [[9, 9]] });
  assert.deepEqual(keysOf(stud, { at: [9, 9], height: "1 in" }), ["0-x", "0-y", "height"]);
  assert.equal(readingsOf(stud, { height: "1 in" }, "mm")[2].drawn_mm, 25.4);
  const disc = shape({ form: "disc", points: [[1, 2]] });
  assert.deepEqual(keysOf(disc, { disc: { centre: [1, 2], radius: "9 mm" } }), ["0-x", "0-y", "disc-radius"]);
  const rising = shape({ part: "support" });
  assert.deepEqual(keysOf(rising, { along: [[0, 100], [1000, 100]], heights: ["1 mm", "2 mm"] }).slice(4), ["heights-0", "heights-1"]);
  assert.deepEqual(keysOf(shape({ part: "member" }), { along: [], width: "60 mm" }).slice(4), ["width"]);
});

test("nothing is measured while one reading is missing, whichever it is", () => {
  const all = Object.entries(PIPE_READ);
  const without = all.map(([left]) => measuredEdits(shape({}), PIPE, new Map(all.filter(([key]) => key !== left)), UNITS));
  assert.deepEqual(without, all.map(() => null));
  assert.equal(measuredEdits(shape({ points: [] }), { assumed: "60 mm" }, new Map(), UNITS), null);
});

test("the edit that says measured carries every reading", () => {
  const edits = measuredEdits(shape({}), PIPE, new Map(Object.entries(PIPE_READ)), UNITS);
  assert.deepEqual(edits?.map(({ op, path, value }) => [op, path.slice(2).join("."), value]), [
    ["set", "along.0", [5, 100]], ["set", "along.1", [1000, 120]],
    ["set", "heights.0", "205 mm"], ["set", "heights.1", "260 mm"], ["set", "width", "48 mm"], ["remove", "assumed", undefined],
  ]);
});

test("inches that are typed stay inches, points are in the file's unit", () => {
  const stud = shape({ part: "terminal", form: "at", points: [[9, 9]] });
  const read = new Map([["0-x", 254], ["0-y", -25.4], ["height", 419.1]]); // 10 in, -1 in, 16 1/2 in
  const edits = measuredEdits(stud, { at: [9, 9], height: "400 mm", assumed: "60 mm" }, read, { file: "mm", typed: "in" });
  assert.deepEqual(edits?.map(({ value }) => value), [[254, -25], "16.5 in", undefined]);
});
