/** Keep-outs by hazard: colours, hatches and letters, as on the map. Hatches: angle, gap in mm of paper. */

/**
 * @typedef {object} HazardStyle
 * @property {string} letter
 * @property {string} colour
 * @property {string} outline
 * @property {[number, number][]} hatches
 * @property {number[]} dash
 * @property {string} says What it is, in a few words.
 */

/** @type {Record<string, HazardStyle>} */
export const HAZARDS = {
  hot: { letter: "H", colour: "#D55E00", outline: "#8a3c00", hatches: [[45, 1.5]], dash: [], says: "exhaust, engine, turbo" },
  moving: { letter: "M", colour: "#0072B2", outline: "#00466e", hatches: [[45, 2.2], [135, 2.2]], dash: [], says: "shafts, wheels, arms, fans" },
  fuel: { letter: "F", colour: "#E69F00", outline: "#6b4a00", hatches: [[0, 1.3]], dash: [], says: "tank, filler, lines" },
  brake: { letter: "B", colour: "#CC79A7", outline: "#7a2f58", hatches: [[90, 1.3]], dash: [], says: "pipes, hoses, servo" },
  sharp: { letter: "S", colour: "#999999", outline: "#333333", hatches: [[135, 0.8]], dash: [], says: "bare edges" },
  lifting: { letter: "L", colour: "#F0E442", outline: "#5c5600", hatches: [[0, 1.6], [90, 1.6]], dash: [], says: "where jacks and lifts stand" },
  "high-voltage": { letter: "V", colour: "#E69F00", outline: "#8a3c00", hatches: [[60, 1.1]], dash: [1.6, 0.6], says: "orange cables, traction battery" },
  airbag: { letter: "A", colour: "#009E73", outline: "#00563f", hatches: [[135, 1.7]], dash: [1.0, 0.6], says: "airbags, belts, their wiring" },
  solid: { letter: "X", colour: "#bbbbbb", outline: "#444444", hatches: [[150, 2.0]], dash: [], says: "anything in the way" },
};

/**
 * The tag of every keep-out by its place in the list: the hazard's letter and a number, front to rear, as on the map.
 * @param {import("./types.js").Shape[]} shapes
 * @returns {Map<import("./types.js").Shape, string>}
 */
export function tagsOf(shapes) {
  const first = (/** @type {import("./types.js").Shape} */ shape) =>
    shape.points.reduce((least, point) => (before(point, least) ? point : least));
  const ordered = shapes.filter((shape) => shape.part === "keep-out" && shape.points.length)
    .sort((one, other) => (before(first(one), first(other)) ? -1 : before(first(other), first(one)) ? 1 : 0));
  /** @type {Record<string, number>} */
  const counts = {};
  return new Map(ordered.map((shape) => {
    const hazard = shape.hazard ?? "solid";
    counts[hazard] = (counts[hazard] ?? 0) + 1;
    return [shape, `${HAZARDS[hazard]?.letter ?? "?"}${counts[hazard]}`];
  }));
}

/**
 * @param {import("./types.js").Point} a
 * @param {import("./types.js").Point} b
 */
function before(a, b) {
  return a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]);
}
