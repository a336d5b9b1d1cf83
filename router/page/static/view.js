/**
 * From the vehicle's millimetres to the window's pixels and back. Pure.
 *
 * The front is at the left, or at the top where the sheet is turned for a tall window. Seen from below, the vehicle's
 * left side lies towards the top (turned: towards the right); seen from above it is the other way round, as on the map.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").SeenFrom} SeenFrom
 * @typedef {{seenFrom: SeenFrom, turned: boolean, scale: number, x: number, y: number}} View Scale: pixels a mm.
 * @typedef {{width: number, height: number}} Size
 * @typedef {{low: Point, high: Point}} Bounds
 */

export const LEAST_SCALE = 0.02;
export const MOST_SCALE = 5;

/**
 * The six numbers of an SVG matrix.
 * @param {View} view
 * @returns {[number, number, number, number, number, number]}
 */
export function matrix({ seenFrom, turned, scale, x, y }) {
  const across = seenFrom === "below" ? scale : -scale;
  return turned ? [0, scale, -across, 0, x, y] : [scale, 0, 0, across, x, y];
}

/**
 * @param {View} view
 * @param {Point} point
 * @returns {Point}
 */
export function toScreen(view, [px, py]) {
  const [a, b, c, d, e, f] = matrix(view);
  return [a * px + c * py + e, b * px + d * py + f];
}

/**
 * @param {View} view
 * @param {Point} place
 * @returns {Point}
 */
export function toPlan(view, [sx, sy]) {
  const [a, b, c, d, e, f] = matrix(view);
  const whole = a * d - b * c;
  return [(d * (sx - e) - c * (sy - f)) / whole, (a * (sy - f) - b * (sx - e)) / whole];
}

/**
 * Zoom about a place of the window, which stays where it is.
 * @param {View} view
 * @param {Point} place
 * @param {number} factor
 * @returns {View}
 */
export function zoomed(view, place, factor) {
  const scale = Math.min(MOST_SCALE, Math.max(LEAST_SCALE, view.scale * factor));
  const by = scale / view.scale;
  return { ...view, scale, x: place[0] + (view.x - place[0]) * by, y: place[1] + (view.y - place[1]) * by };
}

/**
 * @param {View} view
 * @param {number} dx
 * @param {number} dy
 * @returns {View}
 */
export function panned(view, dx, dy) {
  return { ...view, x: view.x + dx, y: view.y + dy };
}

/**
 * The view that shows a part of the vehicle as large as it goes.
 * @param {Bounds} bounds
 * @param {Size} size
 * @param {SeenFrom} seenFrom
 * @param {Point} [margin] Kept free on the sides, and above and below; in pixels.
 * @returns {View}
 */
export function fitted({ low, high }, size, seenFrom, margin = [40, 40]) {
  const turned = size.height > size.width;
  const [long, wide] = [Math.max(1, high[0] - low[0]), Math.max(1, high[1] - low[1])];
  const [across, down] = turned ? [wide, long] : [long, wide];
  const room = (/** @type {number} */ px, /** @type {number} */ kept) => Math.max(40, px - 2 * kept);
  const scale = Math.min(MOST_SCALE, room(size.width, margin[0]) / across, room(size.height, margin[1]) / down);
  return centred({ seenFrom, turned, scale, x: 0, y: 0 }, [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2], size);
}

/**
 * The same view with a point of the vehicle in the middle of the window.
 * @param {View} view
 * @param {Point} point
 * @param {Size} size
 * @returns {View}
 */
export function centred(view, point, size) {
  const [x, y] = toScreen(view, point);
  return panned(view, size.width / 2 - x, size.height / 2 - y);
}

/**
 * What lies left, right, above and below on the screen: words for the four edges of the plan.
 * @param {View} view
 */
export function edges({ seenFrom, turned }) {
  const left_first = (seenFrom === "below") !== turned;
  const [first, second] = left_first ? ["left", "right"] : ["right", "left"];
  return turned ? { top: "front", bottom: "rear", left: first, right: second }
    : { top: first, bottom: second, left: "front", right: "rear" };
}

/**
 * The bounds of points, each with how far it reaches.
 * @param {Point[]} points
 * @returns {Bounds|null}
 */
export function boundsOf(points) {
  if (!points.length) return null;
  const xs = points.map((point) => point[0]);
  const ys = points.map((point) => point[1]);
  return { low: [Math.min(...xs), Math.min(...ys)], high: [Math.max(...xs), Math.max(...ys)] };
}

/**
 * The way on the vehicle of a way on the screen, as a unit vector.
 * @param {View} view
 * @param {Point} way
 * @returns {Point}
 */
export function fromScreen(view, way) {
  const [[x, y], [ox, oy]] = [toPlan(view, way), toPlan(view, [0, 0])];
  const long = Math.hypot(x - ox, y - oy) || 1;
  return [(x - ox) / long + 0, (y - oy) / long + 0];
}
