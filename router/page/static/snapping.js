/**
 * What a finger on the plan may snap to: the points and edges of the parts in the shown space.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./plan_view.js").PlanView} PlanView
 * @typedef {import("./store.js").Store} Store
 */
import { edgesOf } from "./geometry.js";
import { snap, stepFor } from "./snap.js";
import { liesIn, shownSpace } from "./spaces.js";

const REACH_PX = 12;

/**
 * @param {Store} store
 * @param {PlanView} plan
 * @param {Point} at
 * @param {{but?: Shape|null, last?: Point|null, next?: Point|null, free?: boolean, own?: Point[]}} [how] `but`: what is moved itself.
 */
export function snapped(store, plan, at, how = {}) {
  const { state, ui } = store.get();
  const space = shownSpace(state, ui);
  const step = stepFor(plan.pixel());
  if (how.free) return snap(at, { points: [], edges: [], reach: 0, step: 1 });
  const shapes = (state?.shapes ?? []).filter((shape) => shape !== how.but && (!space || liesIn(shape, space)));
  /** @type {[Point, Point][]} */
  const edges = shapes.flatMap((shape) => edgesOf(shape).map(({ a, b }) => /** @type {[Point, Point]} */ ([a, b])));
  const points = [...shapes.flatMap((shape) => shape.points), ...(how.own ?? [])];
  return snap(at, { points, edges, last: how.last, next: how.next, reach: REACH_PX * plan.pixel(), step });
}

/** What a snap is called. @type {Record<string, string>} */
export const SNAP_WORDS = {
  point: "on a point", "other side": "as on the other side", edge: "on an edge", square: "square", "centre line": "on the centre line",
};
