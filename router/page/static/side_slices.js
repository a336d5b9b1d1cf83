/**
 * What a side view and a cross-section show: every part as a box from its lowest to its highest, seen from the vehicle's left,
 * or cut across at a station. Pure; mm.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {{shape: Shape, from: number, to: number, low: number, high: number, known: boolean}} Slice
 */
import { footprint } from "./geometry.js";

/**
 * The heights of a part: of a body from lowest to highest, of a line or point one height twice; null where none is known.
 * @param {Shape} shape
 * @returns {Point|null}
 */
export function heightsOf(shape) {
  if (shape.heights_mm) return shape.heights_mm;
  return typeof shape.height_mm === "number" ? [shape.height_mm, shape.height_mm] : null;
}

/** Parts that have heights of their own to be read. */
const SHOWN = ["keep-out", "support", "opening", "terminal", "place", "panel", "step"];

/**
 * The lowest and highest of everything known, for those that are not.
 * @param {Shape[]} shapes
 * @returns {Point}
 */
export function rangeOf(shapes) {
  const all = shapes.flatMap((shape) => heightsOf(shape) ?? []);
  return all.length ? [Math.min(0, ...all), Math.max(...all)] : [0, 1000];
}

/**
 * @param {Shape[]} shapes
 * @returns {Slice[]}
 */
export function sideSlices(shapes) {
  return slices(shapes, (outline) => {
    const xs = outline.map((point) => point[0]);
    return [[Math.min(...xs), Math.max(...xs)]];
  });
}

/**
 * @param {Shape[]} shapes
 * @param {number} station How far to the rear the cut is.
 * @returns {Slice[]}
 */
export function crossSlices(shapes, station) {
  return slices(shapes, (outline, shape) => {
    if (shape.form === "at") return Math.abs(outline[0][0] - station) <= NEAR_MM ? [[outline[0][1], outline[0][1]]] : [];
    return cuts(outline, station, shape.form !== "along" || !!shape.width_mm);
  });
}

const NEAR_MM = 50; // a point this near to the cut is shown in it

/**
 * Where a line across at a station lies inside an outline, or meets a bare line.
 * @param {Point[]} outline
 * @param {number} station
 * @param {boolean} closed
 * @returns {[number, number][]}
 */
export function cuts(outline, station, closed) {
  const count = closed ? outline.length : outline.length - 1;
  const ys = Array.from({ length: Math.max(0, count) }, (_, number) => [outline[number], outline[(number + 1) % outline.length]])
    .filter(([a, b]) => a[0] > station !== b[0] > station).map(([a, b]) => a[1] + ((station - a[0]) * (b[1] - a[1])) / (b[0] - a[0])).sort((a, b) => a - b);
  if (!closed) return ys.map((y) => [y, y]);
  return Array.from({ length: Math.floor(ys.length / 2) }, (_, pair) => [ys[2 * pair], ys[2 * pair + 1]]);
}

/**
 * @param {Shape[]} shapes
 * @param {(outline: Point[], shape: Shape) => [number, number][]} seen
 * @returns {Slice[]}
 */
function slices(shapes, seen) {
  const [least, most] = rangeOf(shapes);
  return shapes.filter((shape) => SHOWN.includes(shape.part) && shape.points.length).flatMap((shape) => {
    const heights = heightsOf(shape);
    const known = heights !== null || shape.part !== "keep-out";
    if (!heights && shape.part !== "keep-out") return [];
    const [low, high] = heights ?? [least, most];
    return seen(footprint(shape) ?? shape.points, shape).map(([from, to]) => ({ shape, from, to, low, high, known }));
  });
}

/**
 * Keep-outs whose heights nobody has said.
 * @param {Shape[]} shapes
 */
export function withoutHeights(shapes) {
  return shapes.filter((shape) => shape.part === "keep-out" && !shape.heights_mm);
}
