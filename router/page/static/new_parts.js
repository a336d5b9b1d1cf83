/**
 * Parts that can be drawn: what is asked for, in which order, and how each stands in the file. Pure.
 *
 * A place that was tapped and not typed is nobody's measurement: the part is marked as assumed until someone measures it.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Edit} Edit
 * @typedef {import("./types.js").Path} Path
 * @typedef {{space: Shape|null, spaces: Shape[], member: Shape|null, names: string[], unit: string, hazard: string, assumed: boolean}} Around
 * @typedef {{edit: Edit, name: string}} Made
 * @typedef {object} NewPart
 * @property {string} key
 * @property {string} label
 * @property {"area"|"line"|"two"|"disc"|"point"} form
 * @property {string} says
 * @property {boolean} [hazard] Whether its hazard is asked first.
 * @property {boolean} [needsMember]
 * @property {boolean} [alone] Whether it can be drawn before there is any space.
 */
import { SECTIONS, filePoint, freeName } from "./edits.js";
import { distance } from "./geometry.js";
import { inUnit } from "./tape.js";

export const TAPPED_MM = 50; // how far off a place may be that was only tapped

/** @type {NewPart[]} */
export const NEW_PARTS = [
  { key: "keep-out line", label: "Keep-out: pipe or shaft", form: "line", hazard: true, says: "Tap along its middle line, from end to end." },
  { key: "keep-out area", label: "Keep-out: area", form: "area", hazard: true, says: "Tap its corners one after the other." },
  { key: "keep-out disc", label: "Keep-out: round", form: "disc", hazard: true, says: "Tap its middle, then its edge." },
  { key: "support", label: "Support to fix to", form: "line", says: "Tap along the flange, rail or loom." },
  { key: "member", label: "Crossmember", form: "line", says: "Tap its two ends." },
  { key: "pass over", label: "Pass over a member", form: "two", needsMember: true, says: "Tap where on the member the free stretch begins, then where it ends." },
  { key: "pass through", label: "Hole in a member", form: "point", needsMember: true, says: "Tap the middle of the hole." },
  { key: "opening", label: "Opening to another space", form: "point", says: "Tap the middle of the grommet, plug or gap." },
  { key: "terminal", label: "Terminal", form: "point", says: "Tap the post, stud, lamp or connector." },
  { key: "cover", label: "Cover that comes down", form: "area", says: "Tap its corners one after the other." },
  { key: "panel level", label: "Panel: floor", form: "area", says: "Tap the corners of the floor between two spaces." },
  { key: "panel upright", label: "Panel: bulkhead", form: "two", says: "Tap its two ends." },
  { key: "exposed", label: "Area of spray and stones", form: "area", says: "Tap its corners one after the other." },
  { key: "step", label: "Step in this space", form: "area", says: "Tap the corners of the part where a loom lies higher or lower." },
  { key: "space", label: "Another space", form: "area", alone: true, says: "Tap the corners of its outline." },
];

/**
 * How many points a part needs, and how many it may have.
 * @param {NewPart["form"]} form
 * @returns {[number, number]}
 */
export function pointsNeeded(form) {
  return POINTS[form];
}

/** @type {Record<NewPart["form"], [number, number]>} */
const POINTS = { area: [3, Infinity], line: [2, Infinity], two: [2, 2], disc: [2, 2], point: [1, 1] };

/**
 * The edit that puts a drawn part into the file.
 * @param {NewPart} part
 * @param {Point[]} points
 * @param {Around} around
 * @returns {Made}
 */
export function made(part, points, around) {
  const name = freeName(part.key.startsWith("keep-out") ? `${around.hazard} part` : NAMES[part.key] ?? part.key, around.names);
  const raw = { ...wording(part, points, around), ...(around.assumed && part.key !== "exposed" ? { assumed: inUnit(TAPPED_MM, around.unit) } : {}) };
  if (part.key === "space") return { edit: adding(["spaces", name], raw), name };
  if (part.key === "step") return { edit: adding([...(around.space?.path ?? []), "steps"], raw), name: "" };
  if (part.needsMember) return { edit: adding([...(around.member?.path ?? []), "passes"], raw), name: "" };
  return { edit: adding([SECTIONS[part.key.split(" ")[0]]], { name, ...raw }), name };
}

/** @type {Record<string, string>} */
const NAMES = { "panel level": "new floor", "panel upright": "new bulkhead", exposed: "spray area", space: "new space" };

/**
 * @param {Path} path
 * @param {unknown} value
 * @returns {Edit}
 */
const adding = (path, value) => ({ file: "profile", op: "add", path, value });

/**
 * @param {NewPart} part
 * @param {Point[]} points
 * @param {Around} around
 * @returns {Record<string, unknown>}
 */
function wording(part, points, around) {
  const { unit } = around;
  const at = points.map((point) => filePoint(point, unit));
  const mm = (/** @type {number} */ value) => inUnit(value, unit);
  const space = around.space?.name ?? "";
  const other = around.spaces.find((each) => each !== around.space)?.name ?? space;
  const height = mm(around.space?.height_mm ?? 400);
  switch (part.key) {
    case "keep-out line": return { space, hazard: around.hazard, along: at, width: mm(40) };
    case "keep-out area": return { space, hazard: around.hazard, area: at };
    case "keep-out disc": return { space, hazard: around.hazard, disc: { centre: at[0], radius: mm(Math.max(5, Math.round(distance(points[0], points[1])))) } };
    case "support": return { space, kind: "flange", along: at, fix: "clip" };
    case "member": return { space, along: at, width: mm(60) };
    case "pass over": return { over: at, rise: mm(30) };
    case "pass through": return { through: at[0], bore: mm(25), edge: "bare" };
    case "opening": return { joins: [space, other], at: at[0], height, bore: mm(25), edge: "bare" };
    case "terminal": return { kind: "connector", space, at: at[0], height };
    case "cover": return { space, area: at, fasteners: 6 };
    case "exposed": return { space, area: at };
    case "panel level": return { between: [space, other], height, drill: "never", area: at };
    case "panel upright": return { between: [space, other], along: at, drill: "never" };
    case "step": return { height, area: at };
    default: return { kind: "underfloor", height, outline: at };
  }
}
