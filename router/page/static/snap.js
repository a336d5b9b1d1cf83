/**
 * Where a finger that means a place probably means: a point, its mirror, an edge, square to the last point, the centre
 * line; else the nearest whole step. Pure.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {{points: Point[], edges: [Point, Point][], last?: Point|null, next?: Point|null, reach: number, step: number}} Near
 * @typedef {"point"|"other side"|"edge"|"square"|"centre line"|null} Why
 */
import { distance, nearestOn } from "./geometry.js";

/**
 * @param {Point} at
 * @param {Near} near `reach` in mm: how far a snap pulls; `step`: what free places are rounded to.
 * @returns {{point: Point, why: Why}}
 */
export function snap(at, near) {
  return onPoint(at, near) ?? onMirror(at, near) ?? onEdge(at, near) ?? square(at, near);
}

/**
 * @param {Point} at
 * @param {Point[]} points
 * @param {number} reach
 */
function nearest(at, points, reach) {
  /** @type {Point|null} */
  let best = null;
  for (const point of points) if (distance(at, point) <= (best ? distance(at, best) : reach)) best = point;
  return best;
}

/**
 * @param {Point} at
 * @param {Near} near
 * @returns {{point: Point, why: Why}|null}
 */
function onPoint(at, { points, reach }) {
  const point = nearest(at, points, reach);
  return point && { point, why: "point" };
}

/**
 * @param {Point} at
 * @param {Near} near
 * @returns {{point: Point, why: Why}|null}
 */
function onMirror(at, { points, reach }) {
  const point = nearest(at, points.map(([x, y]) => /** @type {Point} */ ([x, -y + 0])), reach);
  return point && { point, why: "other side" };
}

/**
 * @param {Point} at
 * @param {Near} near
 * @returns {{point: Point, why: Why}|null}
 */
function onEdge(at, { edges, reach, step }) {
  /** @type {Point|null} */
  let best = null;
  for (const [a, b] of edges) {
    const point = rounded(nearestOn(at, a, b).point, a[0] === b[0] || a[1] === b[1] ? step : 0.1);
    const held = /** @type {Point} */ ([a[0] === b[0] ? a[0] : point[0], a[1] === b[1] ? a[1] : point[1]]);
    if (distance(at, held) <= (best ? distance(at, best) : reach)) best = held;
  }
  return best && { point: best, why: "edge" };
}

/**
 * @param {Point} at
 * @param {Near} near
 * @returns {{point: Point, why: Why}}
 */
function square(at, { last, next, reach, step }) {
  const [x, y] = rounded(at, step);
  const held = (/** @type {0|1} */ axis) => [last, next].find((each) => each && Math.abs(at[axis] - each[axis]) <= reach)?.[axis];
  const [across, along] = [held(0), held(1)];
  if (across !== undefined || along !== undefined) return { point: [across ?? x, along ?? y], why: "square" };
  if (Math.abs(at[1]) <= reach) return { point: [x, 0], why: "centre line" };
  return { point: [x, y], why: null };
}

/**
 * @param {Point} point
 * @param {number} step
 * @returns {Point}
 */
export function rounded([x, y], step) {
  return [Math.round(x / step) * step + 0, Math.round(y / step) * step + 0];
}

/**
 * A step that goes with how near the plan is seen: what a pixel can tell apart.
 * @param {number} pixel_mm
 */
export function stepFor(pixel_mm) {
  return [1, 5, 10].find((step) => step >= pixel_mm) ?? 10;
}
