/**
 * Plane geometry of parts. Pure; lengths in mm.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 */

/**
 * @param {Point} a
 * @param {Point} b
 */
export const distance = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);

/**
 * @param {Point} a
 * @param {Point} b
 * @returns {Point}
 */
export const plus = (a, b) => [a[0] + b[0], a[1] + b[1]];

/**
 * @param {Point} a
 * @param {Point} b
 * @returns {Point}
 */
export const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];

/**
 * The nearest place on a straight piece, and its share of the way along.
 * @param {Point} at
 * @param {Point} a
 * @param {Point} b
 * @returns {{point: Point, share: number}}
 */
export function nearestOn(at, a, b) {
  const [dx, dy] = minus(b, a);
  const long = dx * dx + dy * dy;
  const share = long === 0 ? 0 : Math.min(1, Math.max(0, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long));
  return { point: [a[0] + share * dx, a[1] + share * dy], share };
}

/**
 * The straight pieces of a shape, each with the number of its first point.
 * @param {Shape} shape
 * @returns {{number: number, a: Point, b: Point}[]}
 */
export function edgesOf(shape) {
  if (shape.form === "disc" || shape.form === "at") return [];
  const count = shape.points.length;
  const last = shape.form === "area" ? count : count - 1;
  return Array.from({ length: Math.max(0, last) }, (_, number) => ({
    number, a: shape.points[number], b: shape.points[(number + 1) % count],
  }));
}

/**
 * Whether a point lies inside a closed outline.
 * @param {Point} at
 * @param {Point[]} outline
 */
export function isInside([x, y], outline) {
  let inside = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i++) {
    const [a, b] = [outline[i], outline[j]];
    if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  }
  return inside;
}

/**
 * The place that stands for a shape, where its name or mark goes.
 * @param {Shape} shape
 * @returns {Point}
 */
export function middleOf(shape) {
  const { points, form } = shape;
  if (points.length < 2) return points[0] ?? [0, 0];
  if (form === "along") return halfWay(points);
  const [x, y] = points.reduce(plus, [0, 0]);
  /** @type {Point} */
  const mean = [x / points.length, y / points.length];
  return isInside(mean, points) ? mean : innerPoint(points, mean);
}

/**
 * The middle of the longest stretch inside an outline at a height of its mean.
 * @param {Point[]} outline
 * @param {Point} mean
 * @returns {Point}
 */
function innerPoint(outline, mean) {
  const y = mean[1] + 0.01;
  const cuts = outline.flatMap((a, number) => {
    const b = outline[(number + 1) % outline.length];
    return a[1] > y === b[1] > y ? [] : [a[0] + ((y - a[1]) * (b[0] - a[0])) / (b[1] - a[1])];
  }).sort((one, other) => one - other);
  let [best, at] = [0, mean[0]];
  for (let number = 0; number + 1 < cuts.length; number += 2) {
    const wide = cuts[number + 1] - cuts[number];
    if (wide > best) [best, at] = [wide, (cuts[number] + cuts[number + 1]) / 2];
  }
  return [at, mean[1]];
}

/**
 * @param {Point[]} line
 * @returns {Point}
 */
export function halfWay(line) {
  const lengths = line.slice(1).map((point, number) => distance(line[number], point));
  let left = lengths.reduce((sum, each) => sum + each, 0) / 2;
  for (const [number, length] of lengths.entries()) {
    if (left <= length && length > 0) return between(line[number], line[number + 1], left / length);
    left -= length;
  }
  return line[0];
}

/**
 * @param {Point} a
 * @param {Point} b
 * @param {number} share
 * @returns {Point}
 */
export function between(a, b, share) {
  return [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
}

/**
 * The outline of a line with a width: mitred corners, flat or round ends.
 * @param {Point[]} line
 * @param {number} width
 * @param {boolean} round
 * @returns {Point[]}
 */
export function band(line, width, round) {
  const half = width / 2;
  const kept = line.filter((point, number) => number === 0 || distance(point, line[number - 1]) > 1e-6);
  if (kept.length < 2) return circle(line[0] ?? [0, 0], half);
  const normals = kept.slice(1).map((point, number) => normal(kept[number], point));
  const offset = kept.map((_, number) => joined(normals[Math.max(0, number - 1)], normals[Math.min(normals.length - 1, number)]));
  const left = kept.map((point, number) => plus(point, scaled(offset[number], half)));
  const right = kept.map((point, number) => plus(point, scaled(offset[number], -half)));
  if (!round) return [...left, ...right.reverse()];
  return [...left, ...cap(kept[kept.length - 1], normals[normals.length - 1], half, 1), ...right.reverse(), ...cap(kept[0], normals[0], half, -1)];
}

/**
 * @param {Point} a
 * @param {Point} b
 * @returns {Point}
 */
function normal(a, b) {
  const long = distance(a, b);
  return [-(b[1] - a[1]) / long, (b[0] - a[0]) / long];
}

/**
 * The way to the corner of a mitre, at most twice the half width.
 * @param {Point} a
 * @param {Point} b
 * @returns {Point}
 */
function joined(a, b) {
  const [x, y] = plus(a, b);
  const square = x * x + y * y;
  return square < 1 ? a : [(2 * x) / square, (2 * y) / square];
}

/**
 * @param {Point} point
 * @param {number} by
 * @returns {Point}
 */
const scaled = ([x, y], by) => [x * by, y * by];

/**
 * @param {Point} at
 * @param {Point} side
 * @param {number} radius
 * @param {1|-1} way
 * @returns {Point[]}
 */
function cap(at, side, radius, way) {
  const start = Math.atan2(side[1] * way, side[0] * way);
  return Array.from({ length: 7 }, (_, step) => {
    const turn = start - (Math.PI * (step + 1)) / 8;
    return /** @type {Point} */ ([at[0] + radius * Math.cos(turn), at[1] + radius * Math.sin(turn)]);
  });
}

/**
 * @param {Point} centre
 * @param {number} radius
 * @param {number} [corners]
 * @returns {Point[]}
 */
export function circle(centre, radius, corners = 32) {
  return Array.from({ length: corners }, (_, step) => {
    const turn = (2 * Math.PI * step) / corners;
    return /** @type {Point} */ ([centre[0] + radius * Math.cos(turn), centre[1] + radius * Math.sin(turn)]);
  });
}

/**
 * The footprint of a shape as a closed outline; null for one that is a point or a bare line.
 * @param {Shape} shape
 * @returns {Point[]|null}
 */
export function footprint(shape) {
  if (!shape.points.length) return null;
  if (shape.form === "area") return shape.points;
  if (shape.form === "disc") return circle(shape.points[0], shape.radius_mm ?? 20);
  if (shape.form === "along" && shape.width_mm) return band(shape.points, shape.width_mm, shape.part === "keep-out");
  return null;
}

/**
 * Where a point lies that is measured along a line from its first point and square to it, as a member is.
 * @param {Point[]} line
 * @param {number} along
 * @param {number} across To the right of its way, as y is to the right of x seen from above.
 * @returns {Point}
 */
export function alongAcross(line, along, across) {
  let left = along;
  for (let number = 0; number + 1 < line.length; number += 1) {
    const [a, b] = [line[number], line[number + 1]];
    const length = distance(a, b);
    if (left <= length || number + 2 === line.length) {
      const side = normal(a, b);
      return plus(between(a, b, left / length), scaled(side, across));
    }
    left -= length;
  }
  return line[0];
}
