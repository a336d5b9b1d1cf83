/** The plan's view: handedness as on the map, and there and back again. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { boundsOf, centred, edges, fitted, fromScreen, toPlan, toScreen, zoomed } from "../../router/page/static/view.js";

/** @typedef {import("../../router/page/static/view.js").View} View */

const SIDES = /** @type {const} */ (["below", "above"]);
const VIEWS = SIDES.flatMap((seenFrom) => [false, true].map((turned) => /** @type {View} */ ({ seenFrom, turned, scale: 0.3, x: 20, y: 30 })));

for (const view of VIEWS) {
  test(`seen from ${view.seenFrom}${view.turned ? ", turned" : ""}: a point comes back`, () => {
    const [x, y] = toPlan(view, toScreen(view, [1234, -567]));
    assert.ok(Math.hypot(x - 1234, y + 567) < 1e-9);
  });

  test(`seen from ${view.seenFrom}${view.turned ? ", turned" : ""}: the edges are named as the points lie`, () => {
    const [front, rear] = [toScreen(view, [-1000, 0]), toScreen(view, [1000, 0])];
    const [left, right] = [toScreen(view, [0, -1000]), toScreen(view, [0, 1000])];
    const words = edges(view);
    const axis = view.turned ? 1 : 0;
    assert.equal(view.turned ? words.top : words.left, "front");
    assert.ok(front[axis] < rear[axis]);
    const first = left[1 - axis] < right[1 - axis] ? "left" : "right";
    assert.equal(view.turned ? words.left : words.top, first);
  });
}

test("seen from below with the front at the left, the vehicle's left is at the top, as design and map have it", () => {
  assert.ok(toScreen(VIEWS[0], [0, -100])[1] < toScreen(VIEWS[0], [0, 100])[1]);
  assert.equal(edges(VIEWS[0]).top, "left");
  assert.equal(edges(VIEWS[2]).top, "right");
});

test("what lies under the finger stays there while zooming, and the zoom has an end", () => {
  for (const view of VIEWS) {
    const before = toPlan(view, [111, 222]);
    const after = toPlan(zoomed(view, [111, 222], 1.7), [111, 222]);
    assert.ok(Math.hypot(before[0] - after[0], before[1] - after[1]) < 1e-9);
    assert.equal(zoomed(view, [0, 0], 1e9).scale, 5);
    assert.equal(zoomed(view, [0, 0], 1e-9).scale, 0.02);
  }
});

test("a fitted view shows every corner inside its margin", () => {
  for (const size of [{ width: 1000, height: 600 }, { width: 390, height: 700 }]) {
    for (const side of SIDES) {
      const view = fitted({ low: [-800, -900], high: [3560, 900] }, size, side, [40, 40]);
      assert.equal(view.turned, size.height > size.width);
      for (const [x, y] of [toScreen(view, [-800, -900]), toScreen(view, [3560, 900])]) {
        assert.ok(x >= 39.99 && x <= size.width - 39.99, `${x}`);
        assert.ok(y >= 39.99 && y <= size.height - 39.99, `${y}`);
      }
    }
  }
});

test("a centred point is in the middle", () => {
  assert.deepEqual(toScreen(centred(VIEWS[3], [500, 100], { width: 400, height: 300 }), [500, 100]).map(Math.round), [200, 150]);
});

test("to the right on the screen is to the rear where the front is at the left, else across", () => {
  assert.deepEqual(fromScreen(VIEWS[0], [1, 0]).map(Math.round), [1, 0]);
  assert.deepEqual(fromScreen(VIEWS[0], [0, 1]).map(Math.round), [0, 1]);
  assert.deepEqual(fromScreen(VIEWS[2], [0, 1]).map(Math.round), [0, -1]);
  assert.deepEqual(fromScreen(VIEWS[1], [1, 0]).map(Math.round), [0, -1]);
});

test("bounds of nothing are none", () => {
  assert.equal(boundsOf([]), null);
  assert.deepEqual(boundsOf([[3, 4], [1, 9]]), { low: [1, 4], high: [3, 9] });
});
