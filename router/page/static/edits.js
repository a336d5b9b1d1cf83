/**
 * Edits of the files, made from what a person does. Pure.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Edit} Edit
 * @typedef {import("./types.js").Data} Data
 */
import { MM_IN, inUnit } from "./tape.js";

/**
 * What stands at a path; undefined where nothing does.
 * @param {any} data
 * @param {Path} path
 * @returns {any}
 */
export function valueAt(data, path) {
  let value = data;
  for (const key of path) {
    if (value === null || typeof value !== "object") return undefined;
    value = Object.hasOwn(value, key) ? value[key] : undefined;
  }
  return value;
}

/**
 * @param {Path|null|undefined} a
 * @param {Path|null|undefined} b
 */
export function samePath(a, b) {
  return !!a && !!b && a.length === b.length && a.every((key, number) => key === b[number]);
}

/**
 * A point as the file writes it, in the file's unit.
 * @param {Point} point
 * @param {string} unit
 * @returns {Point}
 */
export function filePoint([x, y], unit) {
  return [rounded(x / (MM_IN[unit] ?? 1), unit), rounded(y / (MM_IN[unit] ?? 1), unit)];
}

/**
 * @param {number} value
 * @param {string} unit
 */
function rounded(value, unit) {
  const steps = { mm: 1, cm: 10, m: 1000, in: 1000, ft: 10000 }[unit] ?? 10;
  return Math.round(value * steps) / steps + 0;
}

/**
 * Where the points of a shape stand under its path, and whether one alone or a list.
 * @param {Shape} shape
 * @param {Data|null} [raw] The part as the file has it.
 * @returns {{keys: Path, single: boolean}}
 */
export function pointsKey(shape, raw) {
  if (shape.part === "space") return { keys: ["outline"], single: false };
  if (shape.part === "pass") {
    return raw && "through" in raw ? { keys: ["through"], single: true } : { keys: ["over"], single: false };
  }
  if (shape.form === "disc") return { keys: ["disc", "centre"], single: true };
  if (shape.form === "at") return { keys: ["at"], single: true };
  return { keys: [shape.form], single: false };
}

/**
 * Move points; only those that moved are written, so that the file's lines stay as they are.
 * @param {Shape} shape
 * @param {Point[]} points
 * @param {string} unit The file's.
 * @param {Data|null} [raw]
 * @returns {Edit[]}
 */
export function movePoints(shape, points, unit, raw) {
  const { keys, single } = pointsKey(shape, raw);
  const path = [...shape.path, ...keys];
  if (single) return [set(shape, path, filePoint(points[0], unit))];
  const moved = points.flatMap((point, number) => {
    const before = shape.points[number];
    return before && before[0] === point[0] && before[1] === point[1] ? [] : [number];
  });
  return moved.map((number) => set(shape, [...path, number], filePoint(points[number], unit)));
}

/**
 * Put a new point behind one of a line or an outline; a support's heights get one more, half way.
 * @param {Shape} shape
 * @param {number} after
 * @param {Point} point
 * @param {string} unit
 * @param {Data|null} raw
 * @returns {Edit[]}
 */
export function addPoint(shape, after, point, unit, raw) {
  const { keys } = pointsKey(shape, raw);
  const points = [...shape.points.slice(0, after + 1), point, ...shape.points.slice(after + 1)];
  return [set(shape, [...shape.path, ...keys], points.map((each) => filePoint(each, unit))), ...heightsWith(shape, after, raw)];
}

/**
 * @param {Shape} shape
 * @param {number} after
 * @param {Data|null} raw
 * @returns {Edit[]}
 */
function heightsWith(shape, after, raw) {
  const heights = raw?.heights;
  if (shape.part !== "support" || !Array.isArray(heights)) return [];
  return [set(shape, [...shape.path, "heights"], [...heights.slice(0, after + 1), heights[after], ...heights.slice(after + 1)])];
}

/**
 * Take a point away; null where too few would be left.
 * @param {Shape} shape
 * @param {number} number
 * @param {string} unit
 * @param {Data|null} raw
 * @returns {Edit[]|null}
 */
export function removePoint(shape, number, unit, raw) {
  const { keys, single } = pointsKey(shape, raw);
  const least = shape.form === "area" ? 3 : 2;
  if (single || shape.points.length <= least || shape.part === "pass" || shape.part === "panel" && shape.form === "along") return null;
  const points = shape.points.filter((_, each) => each !== number);
  const edits = [set(shape, [...shape.path, ...keys], points.map((each) => filePoint(each, unit)))];
  const heights = raw?.heights;
  if (shape.part === "support" && Array.isArray(heights)) {
    edits.push(set(shape, [...shape.path, "heights"], heights.filter((_, each) => each !== number)));
  }
  return edits;
}

/**
 * A length at a key of a part, as the file writes lengths.
 * @param {Shape} shape
 * @param {Path} keys
 * @param {number} mm
 * @param {string} unit
 * @returns {Edit}
 */
export function setLength(shape, keys, mm, unit) {
  return set(shape, [...shape.path, ...keys], inUnit(mm, unit));
}

/**
 * @param {{file: "profile"|"job"}} shape
 * @param {Path} path
 * @param {unknown} value
 * @returns {Edit}
 */
export function set(shape, path, value) {
  return { file: shape.file, op: "set", path, value };
}

/**
 * @param {Shape} shape
 * @returns {Edit}
 */
export function remove(shape) {
  return { file: shape.file, op: "remove", path: shape.path };
}

/** Sections of the profile by the part that stands in them. @type {Record<string, string>} */
export const SECTIONS = {
  space: "spaces",
  panel: "panels",
  "keep-out": "keep-outs",
  member: "members",
  support: "supports",
  cover: "covers",
  exposed: "exposed",
  opening: "openings",
  terminal: "terminals",
};

/**
 * A name that nothing has yet: as given, or with a number behind it.
 * @param {string} wanted
 * @param {Iterable<string>} taken
 */
export function freeName(wanted, taken) {
  const names = new Set(taken);
  if (!names.has(wanted)) return wanted;
  let number = 2;
  while (names.has(`${wanted} ${number}`)) number += 1;
  return `${wanted} ${number}`;
}

/**
 * A name for the other side: left for right and right for left; the same name where it says neither.
 * @param {string} name
 */
export function otherSideName(name) {
  return name.replace(/\b(left|right|Left|Right)\b/g, (word) => OTHER[word]);
}

/** @type {Record<string, string>} */
const OTHER = { left: "right", right: "left", Left: "Right", Right: "Left" };

/**
 * A part as the file has it, mirrored about the centre line under another name.
 * @param {Data} raw
 * @param {string} name
 * @returns {Data}
 */
export function mirrored(raw, name) {
  const copy = /** @type {Data} */ (structuredClone(raw));
  for (const key of ["area", "along", "over", "outline"]) {
    if (Array.isArray(copy[key])) copy[key] = copy[key].map(flipped);
  }
  for (const key of ["at", "through"]) if (Array.isArray(copy[key])) copy[key] = flipped(copy[key]);
  if (copy.disc?.centre) copy.disc.centre = flipped(copy.disc.centre);
  if (Array.isArray(copy.passes)) copy.passes = copy.passes.map((/** @type {Data} */ each) => mirrored(each, ""));
  if (copy.side) copy.side = OTHER[copy.side] ?? copy.side;
  if ("name" in copy) copy.name = name;
  return copy;
}

/**
 * @param {any} point
 * @returns {any}
 */
function flipped(point) {
  return Array.isArray(point) && typeof point[1] === "number" ? [point[0], -point[1] + 0] : point;
}

/**
 * Set a key of a part, whether it is there already or not; undefined takes it away.
 * @param {Shape} shape
 * @param {Path} keys
 * @param {unknown} value
 * @param {any} raw The part as the file has it.
 * @returns {Edit[]}
 */
export function put(shape, keys, value, raw) {
  const path = [...shape.path, ...keys];
  const there = valueAt(raw, keys) !== undefined;
  if (value === undefined) return there ? [{ file: shape.file, op: "remove", path }] : [];
  return [set(shape, path, value)];
}

/**
 * One of two heights: both are needed, so the first one typed stands for both until the other is.
 * @param {Shape} shape
 * @param {0|1} number
 * @param {string} text
 * @param {any} raw
 * @param {string|null} [other] What is typed for the other one, and perhaps not in the file yet.
 * @returns {Edit[]}
 */
export function putHeight(shape, number, text, raw, other = null) {
  if (Array.isArray(raw?.heights)) return [set(shape, [...shape.path, "heights", number], text)];
  return [set(shape, [...shape.path, "heights"], number === 0 ? [text, other ?? text] : [other ?? text, text])];
}
