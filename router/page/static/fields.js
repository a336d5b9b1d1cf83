/**
 * What can be said about each kind of part, from closed lists where rules hang on it. Pure.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Path} Path
 * @typedef {object} Field
 * @property {Path} keys Under the part.
 * @property {string} label
 * @property {"text"|"choice"|"length"|"flag"|"count"|"space"|"named"} type
 * @property {string[]} [choices]
 * @property {boolean} [optional] May be left empty, which takes the key away.
 * @property {string} [says] What an empty one means, or one sentence of help.
 * @property {(shape: Shape, raw: any) => boolean} [when]
 */

export const HAZARD_WORDS = ["hot", "moving", "fuel", "brake", "sharp", "lifting", "high-voltage", "airbag", "solid"];
export const SPACE_KINDS = ["engine bay", "underfloor", "wheel house", "cabin", "load area", "boot", "outside"];
export const SUPPORT_KINDS = ["flange", "rail", "existing loom", "stud row", "bracket line", "holes", "line"];
export const TERMINAL_KINDS = ["battery post", "stud", "fuse box", "earth point", "unit", "lamp", "trailer socket", "connector"];
export const EDGES = ["rubber", "rolled", "bare"];

/** @type {Field} */
const NAME = { keys: ["name"], label: "Name", type: "text" };
/** @type {Field} */
const SPACE = { keys: ["space"], label: "In", type: "space" };

/** @type {Record<string, Field[]>} */
export const FIELDS = {
  space: [
    { keys: ["kind"], label: "What it is", type: "choice", choices: SPACE_KINDS },
    { keys: ["height"], label: "A loom lies at", type: "length", says: "Height above the ground of a loom that follows nothing." },
  ],
  step: [{ keys: ["height"], label: "A loom lies here at", type: "length", says: "Where it lies higher or lower than elsewhere, as over an axle." }],
  panel: [
    NAME,
    { keys: ["between", 0], label: "Between", type: "space" },
    { keys: ["between", 1], label: "and", type: "space" },
    { keys: ["height"], label: "Height", type: "length", when: (shape) => shape.form !== "along" },
    { keys: ["drill"], label: "Holes", type: "choice", choices: ["allowed", "never"] },
    { keys: ["screw"], label: "What holds in it", type: "choice", choices: ["nut", "rivet nut", "self-cutting"], optional: true, when: (_, raw) => raw?.drill === "allowed" },
  ],
  "keep-out": [
    NAME,
    { keys: ["hazard"], label: "Why", type: "choice", choices: HAZARD_WORDS },
    { keys: ["heights", 0], label: "Lowest", type: "length" },
    { keys: ["heights", 1], label: "Highest", type: "length", says: "Without heights it fills its whole space from floor to roof." },
    { keys: ["width"], label: "Width", type: "length", when: (shape) => shape.form === "along" },
    { keys: ["disc", "radius"], label: "Radius", type: "length", when: (shape) => shape.form === "disc" },
    { keys: ["shielded"], label: "Has a heat shield", type: "flag", when: (_, raw) => raw?.hazard === "hot" },
    { keys: ["guide"], label: "A loom may follow it at its clearance", type: "flag", when: (shape) => shape.form === "along" },
    { keys: ["clearance"], label: "Own clearance", type: "length", optional: true, says: "Empty: the shop's rule for it." },
    { ...SPACE, when: (_, raw) => !raw?.heights },
  ],
  member: [NAME, SPACE, { keys: ["width"], label: "Width", type: "length" }],
  pass: [
    { keys: ["rise"], label: "Rise over the top", type: "length", when: (_, raw) => !!raw?.over },
    { keys: ["bore"], label: "Bore of the hole", type: "length", when: (_, raw) => !!raw?.through },
    { keys: ["edge"], label: "Its edge", type: "choice", choices: EDGES, when: (_, raw) => !!raw?.through },
  ],
  support: [
    NAME,
    { keys: ["kind"], label: "What it is", type: "choice", choices: SUPPORT_KINDS },
    { keys: ["fix"], label: "What it may carry", type: "choice", choices: ["tie", "clip", "never"] },
    { keys: ["height"], label: "Height", type: "length", optional: true, says: "Empty: as its space.", when: (_, raw) => !raw?.heights },
    SPACE,
  ],
  cover: [NAME, { keys: ["fasteners"], label: "Fasteners", type: "count" }, SPACE],
  exposed: [NAME, SPACE],
  opening: [
    NAME,
    { keys: ["joins", 0], label: "From", type: "space" },
    { keys: ["joins", 1], label: "to", type: "space" },
    { keys: ["bore"], label: "Bore", type: "length" },
    { keys: ["edge"], label: "Edge", type: "choice", choices: EDGES },
    { keys: ["height"], label: "Height", type: "length", optional: true, says: "Empty: that of the floor it goes through." },
  ],
  terminal: [
    NAME,
    { keys: ["kind"], label: "What it is", type: "choice", choices: TERMINAL_KINDS },
    { keys: ["pole"], label: "Pole", type: "choice", choices: ["positive", "negative"], when: (_, raw) => raw?.kind === "battery post" },
    { keys: ["height"], label: "Height", type: "length" },
    { keys: ["stud"], label: "Stud", type: "text", optional: true, says: "Such as M6. Empty: a connector.", when: (_, raw) => !raw?.studs },
    { keys: ["faces"], label: "Its mouth faces", type: "choice", choices: ["up", "side", "down"], optional: true, when: (_, raw) => !raw?.stud && !raw?.studs },
    SPACE,
  ],
  place: [
    NAME,
    { keys: ["kind"], label: "What it is", type: "choice", choices: TERMINAL_KINDS, optional: true },
    { keys: ["height"], label: "Height", type: "length" },
    SPACE,
  ],
};

/**
 * The fields that make sense for a part as it is now.
 * @param {Shape} shape
 * @param {any} raw
 */
export function fieldsOf(shape, raw) {
  return (FIELDS[shape.part] ?? [NAME]).filter((field) => !field.when || field.when(shape, raw));
}

/** What each kind of part is called where people read it. @type {Record<string, string>} */
export const PART_WORDS = {
  space: "space", step: "step in a space", panel: "panel", "keep-out": "keep-out", member: "crossmember", pass: "pass of a member",
  support: "support", cover: "cover", exposed: "exposed area", opening: "opening", terminal: "terminal", place: "unit of the job",
};
