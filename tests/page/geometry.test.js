/** Plane geometry, against figures by hand. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { alongAcross, band, circle, edgesOf, footprint, halfWay, isInside, middleOf, nearestOn } from "../../router/page/static/geometry.js";

/** @typedef {import("../../router/page/static/types.js").Point} Point */
/** @typedef {import("../../router/page/static/types.js").Shape} Shape */

/** @param {Partial<Shape>} given @returns {Shape} */
const shape = (given) => ({ file: "profile", path: ["keep-outs", 0], part: "keep-out", name: "x", form: "area", points: [], ...given });

/** Area by the shoelace formula. @param {Point[]} outline */
const area = (outline) => Math.abs(outline.reduce((sum, [x, y], n) => {
  const [u, v] = outline[(n + 1) % outline.length];
  return sum + x * v - u * y;
}, 0)) / 2;

test("a straight band is length times width, flat; with round ends half a circle more on each", () => {
  assert.ok(Math.abs(area(band([[0, 0], [100, 0]], 20, false)) - 2000) < 1e-9);
  const round = area(band([[0, 0], [100, 0]], 20, true));
  assert.ok(round > 2000 + 0.95 * Math.PI * 100 && round < 2000 + Math.PI * 100, String(round)); // 16 chords to a circle: 2.6 % less
});

test("a square corner is mitred: the outer corner lies half a width out on both sides", () => {
  const outline = band([[0, 0], [100, 0], [100, 100]], 20, false);
  assert.ok(outline.some(([x, y]) => Math.hypot(x - 110, y + 10) < 1e-9));
  assert.ok(outline.some(([x, y]) => Math.hypot(x - 90, y - 10) < 1e-9));
});

test("points that lie on each other do no harm", () => {
  assert.ok(Math.abs(area(band([[0, 0], [0, 0], [50, 0], [50, 0]], 10, false)) - 500) < 1e-9);
  assert.ok(band([[5, 5], [5, 5]], 10, true).every(([x, y]) => Number.isFinite(x) && Number.isFinite(y)));
});

test("inside and outside of a notched outline", () => {
  /** @type {Point[]} */
  const notched = [[0, 0], [30, 0], [30, 10], [10, 10], [10, 20], [30, 20], [30, 30], [0, 30]];
  assert.equal(isInside([5, 15], notched), true);
  assert.equal(isInside([20, 15], notched), false);
  assert.equal(isInside([20, 5], notched), true);
  const middle = middleOf(shape({ points: notched }));
  assert.equal(isInside(middle, notched), true);
});

test("half way along a bent line goes by its length", () => {
  assert.deepEqual(halfWay([[0, 0], [30, 0], [30, 70]]), [30, 20]);
  assert.deepEqual(halfWay([[4, 4], [4, 4]]), [4, 4]);
});

test("the nearest place on a piece stays on it", () => {
  assert.deepEqual(nearestOn([5, 9], [0, 0], [10, 0]), { point: [5, 0], share: 0.5 });
  assert.deepEqual(nearestOn([-5, 9], [0, 0], [10, 0]).point, [0, 0]);
  assert.deepEqual(nearestOn([3, 3], [1, 1], [1, 1]).point, [1, 1]);
});

test("an outline closes, a line does not, a disc has no edges", () => {
  /** @type {Point[]} */
  const points = [[0, 0], [1, 0], [1, 1]];
  assert.equal(edgesOf(shape({ points })).length, 3);
  assert.equal(edgesOf(shape({ form: "along", points })).length, 2);
  assert.equal(edgesOf(shape({ form: "disc", points: [[0, 0]] })).length, 0);
});

test("along and across a member: from its first end, and to the right of its way", () => {
  assert.deepEqual(alongAcross([[2300, -650], [2300, 650]], 270, 0), [2300, -380]);
  const [x, y] = alongAcross([[0, 0], [1000, 0]], 250, 40); // rearward: its right is the vehicle's right
  assert.deepEqual([Math.round(x), Math.round(y)], [250, 40]);
  const [u, v] = alongAcross([[0, 0], [100, 0], [100, 100]], 150, 10); // then to the right: its right is forward
  assert.deepEqual([Math.round(u), Math.round(v)], [90, 50]);
});

test("footprints: a disc has its radius, a bare line none", () => {
  const disc = footprint(shape({ form: "disc", points: [[10, 0]], radius_mm: 5 }));
  assert.ok(disc?.every(([x, y]) => Math.abs(Math.hypot(x - 10, y) - 5) < 1e-9));
  assert.equal(footprint(shape({ form: "along", points: [[0, 0], [9, 9]] })), null);
  assert.equal(circle([0, 0], 1, 8).length, 8);
});
