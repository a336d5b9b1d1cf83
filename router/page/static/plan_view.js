/**
 * The plan: one space of the vehicle seen from below or above, panned, pinched and zoomed.
 *
 * Others add to it: `addLayer(name)` is drawn in the vehicle's millimetres and moves with the plan; `addOverlay(name)`
 * is drawn in pixels over it, again after every `onView`.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./view.js").View} View
 * @typedef {{move: (at: Point, event: PointerEvent) => void, up: (at: Point, event: PointerEvent) => void, cancel: () => void}} Drag
 * @typedef {(at: Point, event: PointerEvent) => Drag|null} Grip
 */
import { el, svg } from "./dom.js";
import { centred, edges, fitted, matrix, panned, toPlan, toScreen, zoomed } from "./view.js";

const STILL_PX = 6; // a finger that moved less has tapped
const KEY_PAN_PX = 60;

/** @param {HTMLElement} host */
export function createPlanView(host) {
  const world = svg("g", { class: "world" });
  const over = svg("g", { class: "overlays" });
  const defs = svg("defs");
  const sheet = svg("svg", { class: "sheet", role: "group", "aria-label": "Plan of the vehicle", tabindex: "0" }, defs, world, over);
  const rims = {
    top: el("span", { class: "rim top" }), bottom: el("span", { class: "rim bottom" }),
    left: el("span", { class: "rim left" }), right: el("span", { class: "rim right" }),
  };
  host.append(sheet, ...Object.values(rims));

  /** @type {View} */
  let view = { seenFrom: "below", turned: false, scale: 0.3, x: 0, y: 0 };
  /** @type {import("./view.js").Bounds|null} */
  let bounds = null;
  /** @type {View|null} */
  let whole = null; // the view that showed everything, so that it does so again where the window changes
  /** @type {Set<(view: View, zoomed: boolean) => void>} */
  const watchers = new Set();
  /** @type {{grip: Grip, rank: number}[]} */
  let grips = [];
  /** @type {Set<(at: Point, event: PointerEvent) => void>} */
  const taps = new Set();
  /** @type {Set<(at: Point|null, event: PointerEvent) => void>} */
  const hovers = new Set();

  const size = () => ({ width: sheet.clientWidth || 600, height: sheet.clientHeight || 400 });

  /** @param {View} next */
  function look(next) {
    const is_zoomed = next.scale !== view.scale || next.turned !== view.turned || next.seenFrom !== view.seenFrom;
    view = next;
    world.setAttribute("transform", `matrix(${matrix(view).join(" ")})`);
    if (is_zoomed) sayEdges();
    for (const watcher of watchers) watcher(view, is_zoomed);
  }

  function sayEdges() {
    const words = edges(view);
    for (const side of /** @type {("top"|"bottom"|"left"|"right")[]} */ (["top", "bottom", "left", "right"])) {
      const word = words[side];
      rims[side].textContent = word === "front" ? `${view.turned ? "▲" : "◀"} front` : word === "rear" ? "rear" : `vehicle's ${word}`;
      rims[side].classList.toggle("front", word === "front");
    }
  }

  /**
   * @param {MouseEvent} event
   * @returns {Point}
   */
  function placeOf(event) {
    const box = sheet.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  const planOf = (/** @type {MouseEvent} */ event) => toPlan(view, placeOf(event));

  sheet.addEventListener("wheel", (event) => {
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    if (event.ctrlKey || !event.shiftKey) look(zoomed(view, placeOf(event), Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0015))));
    else look(panned(view, -event.deltaY * lines, 0));
  }, { passive: false });

  listenToPointers();
  sheet.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const step = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const { width, height } = size();
    if (step) look(panned(view, step[0] * KEY_PAN_PX, step[1] * KEY_PAN_PX));
    else if (event.key === "+" || event.key === "=") look(zoomed(view, [width / 2, height / 2], 1.25));
    else if (event.key === "-") look(zoomed(view, [width / 2, height / 2], 0.8));
    else if (event.key === "0") fit();
    else return;
    event.preventDefault();
  });

  function fit() {
    if (!bounds) return;
    const { width, height } = size();
    look(fitted(bounds, size(), view.seenFrom, height > width ? [44, 40] : [Math.min(84, width / 7), 34]));
    whole = view;
  }

  /** How much of the plan, from below, a panel lies over. */
  function covered() {
    const column = document.getElementById("column")?.getBoundingClientRect();
    const box = sheet.getBoundingClientRect();
    return column && column.left < box.right && column.top > box.top ? Math.max(0, box.bottom - column.top) : 0;
  }

  let last = size();
  new ResizeObserver(() => {
    const now = size();
    if (now.width === last.width && now.height === last.height) return;
    const turns = now.height > now.width !== last.height > last.width;
    const middle = toPlan(view, [last.width / 2, last.height / 2]);
    last = now;
    if (turns || view === whole) fit();
    else look(centred(view, middle, now));
  }).observe(host);

  function listenToPointers() {
    /** @type {Map<number, Point>} */
    const fingers = new Map();
    /** @type {Drag|null} */
    let drag = null;
    let moved = 0;

    sheet.addEventListener("pointerdown", (event) => {
      if (event.button > 1) return;
      sheet.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, placeOf(event));
      if (fingers.size > 1) {
        drag?.cancel();
        drag = null;
        moved = STILL_PX;
        return;
      }
      moved = 0;
      drag = event.button === 1 ? null : gripped(event);
    });
    sheet.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId);
      const now = placeOf(event);
      if (!before) return void [...hovers].forEach((hover) => hover(toPlan(view, now), event));
      if (fingers.size === 1) {
        moved += Math.hypot(now[0] - before[0], now[1] - before[1]);
        if (drag) drag.move(planOf(event), event);
        else if (moved >= STILL_PX) look(panned(view, now[0] - before[0], now[1] - before[1]));
      } else pinch(event.pointerId, before, now);
      fingers.set(event.pointerId, now);
    });
    sheet.addEventListener("pointerup", (event) => {
      if (!fingers.delete(event.pointerId) || fingers.size) return;
      if (drag) drag.up(planOf(event), event);
      else if (moved < STILL_PX && event.button === 0) for (const tap of [...taps]) tap(planOf(event), event);
      drag = null;
    });
    sheet.addEventListener("pointercancel", (event) => {
      fingers.delete(event.pointerId);
      drag?.cancel();
      drag = null;
    });
    sheet.addEventListener("pointerleave", (event) => {
      if (!fingers.size) for (const hover of hovers) hover(null, event);
    });

    /**
     * @param {number} id
     * @param {Point} before
     * @param {Point} now
     */
    function pinch(id, before, now) {
      const still = [...fingers].find(([each]) => each !== id)?.[1];
      if (!still) return;
      const span = (/** @type {Point} */ at) => Math.max(10, Math.hypot(at[0] - still[0], at[1] - still[1]));
      const middle = /** @type {Point} */ ([(before[0] + still[0]) / 2, (before[1] + still[1]) / 2]);
      look(panned(zoomed(view, middle, span(now) / span(before)), (now[0] - before[0]) / 2, (now[1] - before[1]) / 2));
    }
  }

  /**
   * @param {PointerEvent} event
   * @returns {Drag|null}
   */
  function gripped(event) {
    for (const { grip } of grips) {
      const drag = grip(planOf(event), event);
      if (drag) return drag;
    }
    return null;
  }

  return {
    sheet,
    defs,
    view: () => view,
    size,
    fit,
    look,
    planOf,
    placeOf,
    toScreen: (/** @type {Point} */ point) => toScreen(view, point),
    toPlan: (/** @type {Point} */ place) => toPlan(view, place),
    /** How many mm a pixel is. */
    pixel: () => 1 / view.scale,
    /**
     * A layer in the vehicle's millimetres, over those added before; line widths stay in pixels.
     * @param {string} name
     */
    addLayer(name) {
      const layer = svg("g", { class: `layer ${name}` });
      world.append(layer);
      return layer;
    },
    /**
     * A layer in pixels over the plan; draw it again on every `onView`.
     * @param {string} name
     */
    addOverlay(name) {
      const layer = svg("g", { class: `overlay ${name}` });
      over.append(layer);
      return layer;
    },
    /**
     * Call a function after every change of the view. Returns how to end that.
     * @param {(view: View, zoomed: boolean) => void} watcher
     */
    onView(watcher) {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    /**
     * Offer to take hold where a pointer goes down; the least rank is asked first. Null leaves it to the next, at
     * last to panning.
     * @param {Grip} grip
     * @param {number} [rank]
     */
    onDown(grip, rank = 50) {
      grips = [...grips, { grip, rank }].sort((one, other) => one.rank - other.rank);
      return () => void (grips = grips.filter((each) => each.grip !== grip));
    },
    /**
     * Call a function where a pointer went down and up on one place without taking hold.
     * @param {(at: Point, event: PointerEvent) => void} tap
     */
    onTap(tap) {
      taps.add(tap);
      return () => taps.delete(tap);
    },
    /**
     * Call a function where a pointer moves that holds nothing; null when it leaves.
     * @param {(at: Point|null, event: PointerEvent) => void} hover
     */
    onHover(hover) {
      hovers.add(hover);
      return () => hovers.delete(hover);
    },
    /**
     * Show a part of the vehicle as large as it goes.
     * @param {import("./view.js").Bounds} to
     * @param {import("./types.js").SeenFrom} seenFrom
     */
    show(to, seenFrom) {
      bounds = to;
      view = { ...view, seenFrom };
      fit();
    },
    /**
     * Bring a place into the middle, nearer if it would be small.
     * @param {Point} point
     * @param {number} [least_scale]
     */
    goTo(point, least_scale = 0.3) {
      const { width, height } = size();
      look(centred({ ...view, scale: Math.max(view.scale, least_scale) }, point, { width, height: height - covered() }));
    },
    /**
     * Pan so that a place is seen, where a panel lies over it.
     * @param {Point} point
     */
    reveal(point) {
      const [x, y] = toScreen(view, point);
      const { width, height } = size();
      const free = height - covered();
      if (x < 0 || x > width || y < 0 || y > free) look(panned(view, width / 2 - x, free / 2 - y));
    },
    zoom: (/** @type {number} */ factor) => look(zoomed(view, [size().width / 2, size().height / 2], factor)),
  };
}

/** @typedef {ReturnType<typeof createPlanView>} PlanView */
