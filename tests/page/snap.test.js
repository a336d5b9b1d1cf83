/** What a finger snaps to, by hand. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { snap, stepFor } from "../../router/page/static/snap.js";

/** @typedef {import("../../router/page/static/types.js").Point} Point */
/** @type {{points: Point[], edges: [Point, Point][], reach: number, step: number}} */
const NONE = { points: [], edges: [], reach: 20, step: 5 };

test("a point is taken before an edge, the nearest first", () => {
  const near = { ...NONE, points: /** @type {Point[]} */ ([[100, 100], [108, 100]]), edges: /** @type {[Point, Point][]} */ ([[[0, 103], [500, 103]]]) };
  assert.deepEqual(snap([106, 103], near), { point: [108, 100], why: "point" });
  assert.deepEqual(snap([300, 110], near), { point: [300, 103], why: "edge" });
});

test("nothing beyond the reach", () => {
  assert.deepEqual(snap([130, 300], { ...NONE, points: [[100, 300]] }), { point: [130, 300], why: null });
});

test("the mirror of a point, so that one side can be drawn after the other", () => {
  assert.deepEqual(snap([702, 448], { ...NONE, points: [[700, -450]] }), { point: [700, 450], why: "other side" });
});

test("square to the last point and to the next", () => {
  assert.deepEqual(snap([512, 903], { ...NONE, last: [500, 300] }), { point: [500, 905], why: "square" });
  assert.deepEqual(snap([512, 903], { ...NONE, last: [500, 300], next: [900, 900] }), { point: [500, 900], why: "square" });
});

test("the centre line", () => {
  assert.deepEqual(snap([1234, -7], NONE), { point: [1235, 0], why: "centre line" });
});

test("a slanted edge is met on the edge itself, not on a rounded place beside it", () => {
  const { point, why } = snap([50, 53], { ...NONE, edges: [[[0, 0], [300, 300]]] });
  assert.equal(why, "edge");
  assert.ok(Math.abs(point[0] - point[1]) <= 0.11);
});

test("steps go with what a pixel can tell apart", () => {
  assert.deepEqual([0.4, 3, 8, 40].map(stepFor), [1, 5, 10, 10]);
});
