/**
 * What a tape reads of a part that nobody measured yet, and the edit that carries those readings. Pure.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Path} Path
 * @typedef {import("./types.js").Edit} Edit
 * @typedef {import("./types.js").Point} Point
 * @typedef {{key: string, label: string, drawn_mm: number|null, keys: Path|null, at: [number, 0|1]|null}} Reading
 * `at`: which point, and which of its coordinates; else `keys` of the part.
 */
import { movePoints, put, setLength, valueAt } from "./edits.js";
import { fieldsOf } from "./fields.js";
import { lengthOf } from "./tape.js";

const NO_READINGS = ["clearance"]; // a rule of the shop, which no tape reads

/**
 * Return every reading that a part has as it is drawn: its points, heights, widths and bores.
 * @param {Shape} shape
 * @param {any} raw The part as the file has it.
 * @param {string} unit The file's.
 * @returns {Reading[]}
 */
export function readingsOf(shape, raw, unit) {
  const lengths = fieldsOf(shape, raw).filter((field) => field.type === "length" && !NO_READINGS.includes(String(field.keys[0])));
  const told = [...lengths, ...pointHeights(raw)].filter(({ keys }) => valueAt(raw, keys) !== undefined);
  const numbered = (/** @type {number} */ number) => (shape.points.length > 1 ? `Point ${number + 1}, ` : "");
  return [
    ...shape.points.flatMap(([x, y], number) => [
      reading(`${number}-x`, words(`${numbered(number)}to the rear`), x, null, [number, 0]),
      reading(`${number}-y`, words(`${numbered(number)}to the right, − is left`), y, null, [number, 1]),
    ]),
    ...told.map(({ keys, label }) => reading(keys.join("-"), label, lengthOf(String(valueAt(raw, keys)), unit), keys, null)),
  ];
}

/**
 * @param {string} key
 * @param {string} label
 * @param {number|null} drawn
 * @param {Path|null} keys
 * @param {[number, 0|1]|null} at
 * @returns {Reading}
 */
function reading(key, label, drawn, keys, at) {
  return { key, label, drawn_mm: drawn, keys, at };
}

/** @param {string} text */
function words(text) {
  return text[0].toUpperCase() + text.slice(1);
}

/**
 * A support that rises has a height at each of its points; a list of two on a keep-out has fields of its own.
 * @param {any} raw
 * @returns {{keys: Path, label: string}[]}
 */
function pointHeights(raw) {
  if (!Array.isArray(raw?.heights) || !Array.isArray(raw.along) || raw.hazard) return [];
  return raw.heights.map((/** @type {any} */ _, /** @type {number} */ number) => ({ keys: ["heights", number], label: `Point ${number + 1}, height` }));
}

/**
 * Return the edits that write all readings and say that the part is measured; null while one of them is missing.
 * @param {Shape} shape
 * @param {any} raw
 * @param {Map<string, number>} read What the tape read, in mm, by the key of the reading.
 * @param {{file: string, typed: string}} units The file's, for points, and the one that was typed in, for lengths.
 * @returns {Edit[]|null}
 */
export function measuredEdits(shape, raw, read, units) {
  const readings = readingsOf(shape, raw, units.file);
  if (!readings.length || readings.some(({ key }) => !read.has(key))) return null;
  const points = shape.points.map((_, number) => /** @type {Point} */ ([read.get(`${number}-x`), read.get(`${number}-y`)]));
  const lengths = readings.flatMap(({ key, keys }) => (keys ? [setLength(shape, keys, read.get(key) ?? 0, units.typed)] : []));
  return [...(points.length ? movePoints(shape, points, units.file, raw) : []), ...lengths, ...put(shape, ["assumed"], undefined, raw)];
}
