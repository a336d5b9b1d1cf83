import assert from "node:assert/strict";
import test from "node:test";

import { nearestStation } from "../../router/page/static/stations.js";
import { heaps, livePoints, piecesOf, runAt } from "../../router/page/static/way_pieces.js";

const POINTS = [
  { x: 0, y: 0, z: 0, space: "cabin", station: 0 },
  { x: 100, y: 0, z: 0, space: "cabin", station: 100 },
  { x: 100, y: 0, z: 0, space: "boot", station: 100 },
  { x: 100, y: 50, z: 0, space: "boot", station: 150 },
  { x: 100, y: 50, z: 0, space: "cabin", station: 150 },
];

test("a way is cut where it comes into another space, and what has no length is left out", () => {
  assert.deepEqual(piecesOf(POINTS, "boot"), [
    { here: false, line: [[0, 0], [100, 0]] },
    { here: true, line: [[100, 0], [100, 50]] },
  ]);
  assert.deepEqual(piecesOf([], "boot"), []);
});

test("what the server sends while dragging is a way like any other", () => {
  const live = livePoints([[1, 2, 3, "cabin"], [4, 5, 6, "boot"], [4, 9, 6, "boot"]]);
  assert.deepEqual(live[0], { x: 1, y: 2, z: 3, space: "cabin" });
  assert.deepEqual(piecesOf(live, "boot"), [{ here: true, line: [[4, 5], [4, 9]] }]);
});

test("marks that would touch make one heap, headed by the weightier", () => {
  /** @type {{at: [number, number], key: string}[]} */
  const marks = [{ at: [0, 0], key: "must" }, { at: [50, 0], key: "far" }, { at: [3, 4], key: "should" }];
  assert.deepEqual(heaps(marks, 10).map((heap) => heap.map((each) => each.key)), [["must", "should"], ["far"]]);
  assert.deepEqual(heaps(marks, 5).map((heap) => heap.length), [1, 1, 1]);
});

test("a finger meets the nearest of several runs, and none that is out of reach", () => {
  const other = POINTS.map((point) => ({ ...point, y: point.y + 30 }));
  const runs = [{ name: "one", points: POINTS }, { name: "two", points: other }];
  const met = (/** @type {[number, number]} */ at, /** @type {number} */ within) => runAt(runs, at, within, nearestStation);
  assert.equal(met([40, 20], 25)?.run.name, "two");
  assert.deepEqual(met([40, -5], 25), { run: runs[0], station: 40 });
  assert.equal(met([40, -50], 25), null);
});
