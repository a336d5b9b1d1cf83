/**
 * Which spaces there are, which is shown, from where it is seen, and which parts lie in it. Pure.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Ui} Ui
 */
import { boundsOf } from "./view.js";
import { footprint, isInside, middleOf } from "./geometry.js";
import { samePath } from "./edits.js";

/** Kinds of space that a person sees from below. */
const FROM_BELOW = ["underfloor", "wheel house", "outside"];

/** @param {State|null} state */
export const spacesOf = (state) => state?.shapes.filter((shape) => shape.part === "space") ?? [];

/**
 * The space that is shown: the chosen one, or the underfloor, or the first.
 * @param {State|null} state
 * @param {Ui} ui
 */
export function shownSpace(state, ui) {
  const spaces = spacesOf(state);
  return spaces.find((space) => space.name === ui.space) ?? spaces.find((space) => space.kind === "underfloor") ?? spaces[0] ?? null;
}

/**
 * @param {Shape|null} space
 * @param {Ui} ui
 * @returns {import("./types.js").SeenFrom}
 */
export function seenFrom(space, ui) {
  if (ui.seenFrom) return ui.seenFrom;
  return !space || FROM_BELOW.includes(space.kind ?? "underfloor") ? "below" : "above";
}

/**
 * Whether a part is seen where a space is shown.
 * @param {Shape} shape
 * @param {Shape} space
 */
export function liesIn(shape, space) {
  if (shape.part === "space") return shape.path[1] === space.path[1];
  if (shape.spaces?.length) return shape.spaces.includes(space.name);
  return shape.space === space.name;
}

/**
 * The shapes with the spaces in which each body matters: a keep-out with heights acts wherever a loom may come near it, so
 * long as no floor parts them.
 * @param {Shape[]} shapes
 * @returns {Shape[]}
 */
export function withSpaces(shapes) {
  const spaces = shapes.filter((shape) => shape.part === "space");
  return shapes.map((shape) => {
    if (shape.part !== "keep-out" || !shape.heights_mm || !shape.points.length) return shape;
    const off = spaces.map((space) => ({ name: space.name, mm: offFrom(shape, shape.heights_mm ?? [0, 0], space, shapes) }));
    const near = off.filter((each) => each.mm < NEAR_MM).map((each) => each.name);
    const least = off.sort((one, other) => one.mm - other.mm)[0];
    return { ...shape, spaces: near.length || !least ? near : [least.name] };
  });
}

const NEAR_MM = 250; // a body farther off, or behind a floor, does not matter to a loom
const BEHIND_MM = 10000;

/**
 * How far off a body is from where looms of a space may lie, in plan and in height; more behind a floor.
 * @param {Shape} body
 * @param {[number, number]} heights
 * @param {Shape} space
 * @param {Shape[]} shapes
 */
function offFrom(body, [low, high], space, shapes) {
  const [one, other] = [boundsOf(footprint(body) ?? body.points), boundsOf(space.points)];
  if (!one || !other) return BEHIND_MM;
  const aside = Math.max(0, ...[0, 1].map((axis) => Math.max(one.low[axis] - other.high[axis], other.low[axis] - one.high[axis])));
  const levels = shapes.filter((shape) => shape === space || ((shape.part === "step" || shape.part === "support") && shape.space === space.name))
    .flatMap((shape) => (typeof shape.height_mm === "number" ? [shape.height_mm] : []));
  const gap = levels.length ? Math.min(...levels.map((level) => Math.max(low - level, level - high, 0))) : 0;
  const behind = shapes.some((panel) => panel.part === "panel" && panel.spaces?.includes(space.name) && parts(panel, body, [low, high], space.height_mm ?? 0));
  return aside + gap + (behind ? BEHIND_MM : 0);
}

/**
 * Whether a floor lies between a body and the height at which looms lie.
 * @param {Shape} panel
 * @param {Shape} body
 * @param {[number, number]} heights
 * @param {number} level
 */
function parts(panel, body, [low, high], level) {
  const floor = panel.height_mm;
  if (typeof floor !== "number" || (panel.form === "area" && !isInside(middleOf(body), panel.points))) return false;
  return level < floor ? low >= floor : high <= floor;
}

/**
 * @param {State|null} state
 * @param {Ui} ui
 * @returns {Shape|null}
 */
export function selectedShape(state, ui) {
  if (!ui.selected) return null;
  return state?.shapes.find((shape) => shape.file === ui.selectedFile && samePath(shape.path, ui.selected)) ?? null;
}

/**
 * What a part is called: its name, or what it is where it has none.
 * @param {Shape} shape
 */
export function titleOf(shape) {
  const last = shape.path[shape.path.length - 1];
  const number = typeof last === "number" ? last + 1 : 1;
  if (shape.part === "step") return `step ${number} in the ${shape.space ?? "space"}`;
  if (shape.part === "pass") return `pass ${number} of ${shape.name || "the member"}`;
  return shape.name || `${shape.part} ${number}`;
}
