/** A profile to draw everything into by hand: one underfloor of usual size, marked as not measured. Pure. */
import { filePoint } from "./edits.js";
import { inUnit } from "./tape.js";

/** A usual car, from its front axle. @type {import("./types.js").Point[]} */
const OUTLINE = [[-800, -850], [3500, -850], [3500, 850], [-800, 850]];

/**
 * The text of its file. Names are quoted, so that they may hold anything.
 * @param {string} name
 * @param {"mm"|"in"} unit
 * @param {string} today As 2026-03-14.
 */
export function blankProfile(name, unit, today) {
  const outline = OUTLINE.map((point) => `[${filePoint(point, unit).join(", ")}]`).join(", ");
  return `profile: ${JSON.stringify(name)}
revision: 1
measured: {on: ${today}, tolerance: ${inUnit(unit === "in" ? 12.7 : 10, unit)}}
unit: ${unit}
datum: front axle, centre line, ground
spaces:
  underfloor:
    kind: underfloor
    height: ${inUnit(unit === "in" ? 355.6 : 350, unit)}
    outline: [${outline}]
    assumed: ${inUnit(unit === "in" ? 304.8 : 300, unit)}
`;
}
