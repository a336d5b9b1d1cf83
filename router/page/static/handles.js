/**
 * The selected part's handles on the plan: points, edges and the whole part are dragged. Handles are 48 px to a finger.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./main.js").Page} Page
 * @typedef {{shape: Shape, points: Point[], final: boolean}} Moving
 */
import { svg } from "./dom.js";
import { movePoints, valueAt } from "./edits.js";
import { between, distance, edgesOf, footprint, minus, plus } from "./geometry.js";
import { closed, open } from "./plan_parts.js";
import { SNAP_WORDS, snapped } from "./snapping.js";
import { selectedShape, titleOf } from "./spaces.js";
import { said } from "./tape.js";

const REACH_PX = 24; // half of a target that a thumb hits
const EDGE_ROOM_PX = 64; // shorter edges have no handle of their own
const STILL_PX = 6;

/** @param {Page} page */
export function createHandles({ store, server, plan, parts }) {
  const layer = plan.addOverlay("handles");
  /** @type {Point[]|null} */
  let draft = null;
  /** @type {Point} */
  let pressed = [0, 0]; // where the pointer went down
  /** @type {Set<(moving: Moving|null) => void>} */
  const watchers = new Set();

  const shape = () => selectedShape(store.state(), store.ui());
  const fileUnit = () => store.state()?.files.profile.unit ?? "mm";
  const rawOf = (/** @type {Shape} */ of) => valueAt(store.state()?.data[of.file], of.path);

  function draw() {
    layer.replaceChildren();
    const of = shape();
    if (!of || of.partly || store.ui().tool) return;
    const points = draft ?? of.points;
    if (draft) layer.append(outlineOf({ ...of, points }));
    for (const { number, at } of edgeMiddles(of, points)) {
      const [x, y] = plan.toScreen(at);
      layer.append(svg("rect", { class: "handle edge", x: x - 6, y: y - 6, width: 12, height: 12, "data-edge": number }));
    }
    const r = sizeFor(points);
    for (const [number, point] of points.entries()) {
      const [cx, cy] = plan.toScreen(point);
      layer.append(svg("circle", { class: `handle point${store.ui().point === number ? " chosen" : ""}`, cx, cy, r }));
    }
  }

  /**
   * Handles of points that lie close together are drawn smaller, so that the part is still seen.
   * @param {Point[]} points
   */
  function sizeFor(points) {
    const gaps = points.slice(1).map((point, number) => distance(points[number], point) / plan.pixel());
    return Math.max(5, Math.min(10, ...gaps.map((gap) => gap / 4)));
  }

  /** @param {Shape} moved */
  function outlineOf(moved) {
    const outline = footprint(moved);
    const points = (outline ?? moved.points).map((point) => plan.toScreen(point));
    return svg("path", { class: "draft", d: outline ? closed(points) : open(points) });
  }

  /**
   * @param {Shape} of
   * @param {Point[]} points
   */
  function edgeMiddles(of, points) {
    return edgesOf({ ...of, points }).filter(({ a, b }) => distance(a, b) / plan.pixel() > EDGE_ROOM_PX)
      .map(({ number, a, b }) => ({ number, at: between(a, b, 0.5) }));
  }

  /**
   * @param {Point} at
   * @param {{at: Point, number: number}[]} handles
   */
  function met(at, handles) {
    const reach = REACH_PX * plan.pixel();
    const near = handles.map((each) => ({ ...each, off: distance(each.at, at) })).filter((each) => each.off <= reach);
    return near.sort((one, other) => one.off - other.off)[0] ?? null;
  }

  plan.onDown((at, event) => {
    const of = shape();
    if (!of || of.partly || store.ui().tool) return null;
    const point = met(at, of.points.map((each, number) => ({ at: each, number })));
    pressed = plan.placeOf(event);
    if (point) return dragPoint(of, point.number);
    const edge = met(at, edgeMiddles(of, of.points));
    if (edge) return dragEdge(of, edge.number, at);
    const over = parts.shapesAt(event)[0];
    return over === of && of.part !== "space" && of.part !== "step" ? dragWhole(of, at) : null;
  }, 20);

  /**
   * @param {Shape} of
   * @param {number} number
   */
  function dragPoint(of, number) {
    const count = of.points.length;
    const around = of.form === "area" ? [(number + count - 1) % count, (number + 1) % count] : [number - 1, number + 1];
    const [last, next] = around.map((each) => of.points[each] ?? null);
    const own = of.points.filter((_, each) => each !== number);
    return dragging(of, (at, event) => {
      const found = snapped(store, plan, at, { but: of, last, next, own, free: event.altKey });
      return { points: of.points.map((each, index) => (index === number ? found.point : each)), at: found.point, why: found.why };
    }, () => store.show({ point: number }));
  }

  /**
   * @param {Shape} of
   * @param {number} number
   * @param {Point} from
   */
  function dragEdge(of, number, from) {
    const second = (number + 1) % of.points.length;
    const [a, b] = [of.points[number], of.points[second]];
    const level = a[0] === b[0] ? 0 : a[1] === b[1] ? 1 : null;
    const side = /** @type {Point} */ ([-(b[1] - a[1]) / distance(a, b), (b[0] - a[0]) / distance(a, b)]);
    return dragging(of, (at) => {
      const [dx, dy] = minus(at, from);
      const off = dx * side[0] + dy * side[1];
      const move = /** @type {Point} */ ([Math.round(off * side[0]), Math.round(off * side[1])]);
      if (level !== null) move[1 - level] = 0;
      const points = of.points.map((each, index) => (index === number || index === second ? plus(each, move) : each));
      return { points, at: points[number], why: null };
    }, () => store.show({ point: number }));
  }

  /**
   * @param {Shape} of
   * @param {Point} from
   */
  function dragWhole(of, from) {
    return dragging(of, (at, event) => {
      const first = plus(of.points[0], minus(at, from));
      const found = snapped(store, plan, first, { but: of, free: event.altKey });
      const move = minus(found.point, of.points[0]);
      return { points: of.points.map((each) => plus(each, move)), at: found.point, why: found.why };
    }, (event, at) => parts.pick(at, event));
  }

  /**
   * @param {Shape} of
   * @param {(at: Point, event: PointerEvent) => {points: Point[], at: Point, why: import("./snap.js").Why}} moved
   * @param {(event: PointerEvent, at: Point) => void} tapped What a tap does, where nothing was moved.
   * @returns {import("./plan_view.js").Drag}
   */
  function dragging(of, moved, tapped) {
    const start = pressed;
    let is_drag = false;
    const end = () => {
      draft = null;
      store.show({ says: "" });
      draw();
    };
    return {
      move(at, event) {
        is_drag ||= distance(start, plan.placeOf(event)) > STILL_PX;
        if (!is_drag) return;
        const now = moved(at, event);
        draft = now.points;
        store.show({ says: whereIs(of, now.at, now.why) });
        for (const watcher of watchers) watcher({ shape: of, points: draft, final: false });
        draw();
      },
      up(at, event) {
        const points = draft;
        end();
        if (!is_drag || !points) return tapped(event, at);
        for (const watcher of watchers) watcher({ shape: of, points, final: true });
        void server.edit(movePoints(of, points, fileUnit(), rawOf(of)));
      },
      cancel() {
        end();
        for (const watcher of watchers) watcher(null);
      },
    };
  }

  /**
   * @param {Shape} of
   * @param {Point} at
   * @param {import("./snap.js").Why} why
   */
  function whereIs(of, at, why) {
    const { unit } = store.ui();
    const side = at[1] < 0 ? "left" : "right";
    return `${titleOf(of)}: ${said(at[0], unit)} back, ${said(Math.abs(at[1]), unit)} ${side}${why ? `, ${SNAP_WORDS[why]}` : ""}`;
  }

  plan.onView(draw);
  store.subscribe(draw);
  return {
    /**
     * Follow what is dragged, while it moves and at the end; null where it was given up.
     * @param {(moving: Moving|null) => void} watcher
     */
    onMoving(watcher) {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    /** Give up a drag. */
    dragged: () => draft !== null,
    /**
     * Move the chosen point, or the whole part, by so many mm.
     * @param {Point} by
     */
    nudge(by) {
      const of = shape();
      if (!of || of.partly || of.part === "space" && store.ui().point === null) return false;
      const chosen = store.ui().point;
      const points = of.points.map((each, number) => (chosen === null || number === chosen ? plus(each, by) : each));
      void server.edit(movePoints(of, points, fileUnit(), rawOf(of)), `nudge ${of.path.join("/")}`);
      return true;
    },
  };
}

/** @typedef {ReturnType<typeof createHandles>} Handles */
