/** Edits made from what a person does; expected files by hand. */
import assert from "node:assert/strict";
import { test } from "node:test";
import {
  addPoint, filePoint, freeName, mirrored, movePoints, otherSideName, put, putHeight, removePoint, samePath, setLength, valueAt,
} from "../../router/page/static/edits.js";

/** @typedef {import("../../router/page/static/types.js").Shape} Shape */
/** @typedef {import("../../router/page/static/types.js").Point} Point */

/** @param {Partial<Shape>} given @returns {Shape} */
const shape = (given) => ({ file: "profile", path: ["keep-outs", 3], part: "keep-out", name: "tank", form: "area", points: [[0, 0], [10, 0], [10, 10]], ...given });

test("only the point that moved is written", () => {
  assert.deepEqual(movePoints(shape({}), [[0, 0], [12, 0], [10, 10]], "mm"), [
    { file: "profile", op: "set", path: ["keep-outs", 3, "area", 1], value: [12, 0] },
  ]);
  assert.deepEqual(movePoints(shape({}), [[0, 0], [10, 0], [10, 10]], "mm"), []);
});

test("points are written in the file's unit", () => {
  assert.deepEqual(filePoint([254, -12.7], "in"), [10, -0.5]);
  assert.deepEqual(filePoint([1234.4, -0.4], "mm"), [1234, 0]);
  assert.deepEqual(filePoint([1234, 0], "m"), [1.234, 0]);
});

test("a disc, a place, an outline and both kinds of pass each keep their points elsewhere", () => {
  /** @param {Partial<Shape>} given @param {any} [raw] */
  const pathOf = (given, raw) => movePoints(shape({ points: [[0, 0]], ...given }), [[5, 5]], "mm", raw)[0].path.slice(2);
  assert.deepEqual(pathOf({ form: "disc" }), ["disc", "centre"]);
  assert.deepEqual(pathOf({ form: "at", part: "terminal" }), ["at"]);
  assert.deepEqual(pathOf({ part: "space" }), ["outline", 0]);
  assert.deepEqual(pathOf({ part: "pass", form: "along" }, { over: [[0, 0], [1, 1]] }), ["over", 0]);
  assert.deepEqual(pathOf({ part: "pass", form: "at" }, { through: [0, 0] }), ["through"]);
});

test("a support that rises keeps one height for each point", () => {
  const support = shape({ part: "support", path: ["supports", 0], form: "along", points: [[0, 0], [10, 0], [20, 0]] });
  const raw = { heights: ["1 mm", "2 mm", "3 mm"] };
  const [points, heights] = addPoint(support, 1, [15, 0], "mm", raw);
  assert.deepEqual(points.value, [[0, 0], [10, 0], [15, 0], [20, 0]]);
  assert.deepEqual(heights.value, ["1 mm", "2 mm", "2 mm", "3 mm"]);
  assert.deepEqual(removePoint(support, 0, "mm", raw)?.map((edit) => edit.value), [[[10, 0], [20, 0]], ["2 mm", "3 mm"]]);
});

test("an outline keeps three points, a line two", () => {
  assert.equal(removePoint(shape({}), 0, "mm", {}), null);
  assert.equal(removePoint(shape({ form: "along", points: [[0, 0], [1, 1]] }), 0, "mm", {}), null);
  assert.equal(removePoint(shape({ points: [[0, 0], [1, 0], [1, 1], [0, 1]] }), 0, "mm", {})?.length, 1);
});

test("a key is set whether it is there or not; undefined takes it away", () => {
  const raw = { height: "60 mm" };
  assert.deepEqual(put(shape({}), ["height"], "70 mm", raw)[0].op, "set");
  assert.deepEqual(put(shape({}), ["width"], "70 mm", raw), [{ file: "profile", op: "set", path: ["keep-outs", 3, "width"], value: "70 mm" }]);
  assert.deepEqual(put(shape({}), ["height"], undefined, raw), [{ file: "profile", op: "remove", path: ["keep-outs", 3, "height"] }]);
  assert.deepEqual(put(shape({}), ["width"], undefined, raw), []);
});

test("the first height typed stands for both until the other is known", () => {
  assert.deepEqual(putHeight(shape({}), 1, "410 mm", {})[0].value, ["410 mm", "410 mm"]);
  assert.deepEqual(putHeight(shape({}), 1, "410 mm", {}, "200 mm")[0].value, ["200 mm", "410 mm"]); // typed before the first was saved
  assert.deepEqual(putHeight(shape({}), 0, "200 mm", {}, "410 mm")[0].value, ["200 mm", "410 mm"]);
  assert.deepEqual(putHeight(shape({}), 1, "410 mm", { heights: ["1 mm", "2 mm"] })[0].path, ["keep-outs", 3, "heights", 1]);
});

test("a length carries its unit", () => {
  assert.equal(setLength(shape({}), ["width"], 63.5, "in").value, "2.5 in");
});

test("mirrored about the centre line: left becomes right, y changes its sign, the rest stays", () => {
  const raw = { name: "left arm", side: "left", area: [[1, -2], [3, 4], [5, 0]], disc: { centre: [9, -8], radius: "3 mm" }, passes: [{ over: [[1, -1], [1, -2]], rise: "5 mm" }, { through: [2, -3] }] };
  const copy = mirrored(raw, otherSideName(raw.name));
  assert.deepEqual(copy, { name: "right arm", side: "right", area: [[1, 2], [3, -4], [5, 0]], disc: { centre: [9, 8], radius: "3 mm" }, passes: [{ over: [[1, 1], [1, 2]], rise: "5 mm" }, { through: [2, 3] }] });
  assert.equal(raw.area[0][1], -2);
  assert.deepEqual(mirrored(copy, "left arm"), raw);
});

test("names: other side by whole words only, free ones by a number", () => {
  assert.equal(otherSideName("Left wheel, leftover"), "Right wheel, leftover");
  assert.equal(freeName("pipe", ["pipe", "pipe 2"]), "pipe 3");
  assert.equal(freeName("pipe", []), "pipe");
});

test("a path leads only to what somebody wrote", () => {
  assert.equal(valueAt({ a: [1, { b: 2 }] }, ["a", 1, "b"]), 2);
  assert.equal(valueAt({}, ["constructor"]), undefined);
  assert.equal(valueAt(null, ["a"]), undefined);
  assert.equal(valueAt("text", ["length"]), undefined);
  assert.equal(samePath(["a", 1], ["a", "1"]), false);
});
