import assert from "node:assert/strict";
import test from "node:test";

import { nearestStation, piece, pointAt } from "../../router/page/static/stations.js";

// 300 mm rearward, 40 mm up at one place in plan, through an opening there, then 400 mm to the right
const WAY = [
  { x: 0, y: 0, z: 500, space: "underfloor", station: 0 },
  { x: 300, y: 0, z: 500, space: "underfloor", station: 300 },
  { x: 300, y: 0, z: 540, space: "underfloor", station: 340 },
  { x: 300, y: 0, z: 540, space: "load area", station: 340 },
  { x: 300, y: 400, z: 540, space: "load area", station: 740 },
];

test("a station lies on its piece of the way", () => {
  assert.deepEqual(pointAt(WAY, 150), { x: 150, y: 0, z: 500, space: "underfloor", station: 150 });
  assert.equal(pointAt(WAY, 320)?.z, 520);
  assert.equal(pointAt(WAY, 540)?.y, 200);
  assert.equal(pointAt(WAY, 540)?.space, "load area");
});

test("a station beyond an end lies at the end", () => {
  assert.equal(pointAt(WAY, -5)?.x, 0);
  assert.equal(pointAt(WAY, 9999)?.y, 400);
  assert.equal(pointAt([], 10), null);
});

test("a piece of a way has its own ends and the corners between them", () => {
  assert.deepEqual(
    piece(WAY, 100, 640).map((point) => [point.x, point.y]),
    [[100, 0], [300, 0], [300, 0], [300, 0], [300, 300]],
  );
  assert.deepEqual(piece([], 0, 10), []);
});

test("a finger beside a way finds the station at the foot of the perpendicular", () => {
  assert.deepEqual(nearestStation(WAY, [120, 30]), { station: 120, away: 30 });
  assert.deepEqual(nearestStation(WAY, [310, 100]), { station: 440, away: 10 });
  assert.deepEqual(nearestStation(WAY, [-30, -40]), { station: 0, away: 50 });
  assert.equal(nearestStation([], [0, 0]), null);
});
