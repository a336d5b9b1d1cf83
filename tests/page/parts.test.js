/** New parts, spaces, heights and problems, by hand. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { fieldsOf } from "../../router/page/static/fields.js";
import { tagsOf } from "../../router/page/static/hazards.js";
import { NEW_PARTS, made, pointsNeeded } from "../../router/page/static/new_parts.js";
import { faultsOf, problemsOf, shapeOf } from "../../router/page/static/problems.js";
import { crossSlices, cuts, heightsOf, rangeOf, sideSlices, withoutHeights } from "../../router/page/static/side_slices.js";
import { liesIn, seenFrom, titleOf, withSpaces } from "../../router/page/static/spaces.js";

/** @typedef {import("../../router/page/static/types.js").Shape} Shape */
/** @typedef {import("../../router/page/static/types.js").Point} Point */
/** @typedef {import("../../router/page/static/types.js").Ui} Ui */

/** @param {Partial<Shape>} given @returns {Shape} */
const shape = (given) => ({ file: "profile", path: ["keep-outs", 0], part: "keep-out", name: "x", form: "area", points: [], ...given });
/** @param {number} x @param {number} y @param {number} long @param {number} wide @returns {Point[]} */
const box = (x, y, long, wide) => [[x, y], [x + long, y], [x + long, y + wide], [x, y + wide]];

const UNDER = shape({ part: "space", path: ["spaces", "underfloor"], name: "underfloor", kind: "underfloor", height_mm: 325, points: box(0, -800, 3000, 1600) });
const CABIN = shape({ part: "space", path: ["spaces", "cabin"], name: "cabin", kind: "cabin", height_mm: 475, points: box(400, -700, 1800, 1400) });
const FLOOR = shape({ part: "panel", path: ["panels", 0], name: "floor", spaces: ["underfloor", "cabin"], height_mm: 350, points: box(400, -900, 1800, 1800) });
const SEAT = shape({ name: "seat", hazard: "airbag", heights_mm: [360, 800], points: box(900, 100, 500, 400) });
const TANK = shape({ name: "tank", hazard: "fuel", heights_mm: [210, 340], points: box(1700, 40, 400, 400) });
const WHEEL = shape({ name: "wheel", hazard: "moving", heights_mm: [0, 740], points: box(2300, 600, 600, 200) });

test("a body is seen in the spaces where a loom may come near it, not through a floor", () => {
  const found = withSpaces([UNDER, CABIN, FLOOR, SEAT, TANK, WHEEL]);
  const spacesOf = (/** @type {string} */ name) => found.find((each) => each.name === name)?.spaces;
  assert.deepEqual(spacesOf("seat"), ["cabin"]);
  assert.deepEqual(spacesOf("tank"), ["underfloor"]);
  assert.deepEqual(spacesOf("wheel"), ["underfloor", "cabin"]); // 100 mm behind the cabin's end, and no floor between
  assert.equal(liesIn(found[3], CABIN), true);
  assert.equal(liesIn(found[3], UNDER), false);
});

test("a body far from everything is seen in the nearest space, so that nothing is lost", () => {
  const far = shape({ name: "mast", heights_mm: [5000, 6000], points: box(9000, 0, 10, 10) });
  assert.deepEqual(withSpaces([UNDER, CABIN, far])[2].spaces, ["underfloor"]);
});

test("the underfloor is seen from below unless somebody turned it over", () => {
  const ui = /** @type {Ui} */ ({ seenFrom: null });
  assert.equal(seenFrom(UNDER, ui), "below");
  assert.equal(seenFrom(CABIN, ui), "above");
  assert.equal(seenFrom(UNDER, /** @type {Ui} */ ({ seenFrom: "above" })), "above");
});

test("tags count each hazard from front to rear, as on the map", () => {
  const [front, rear, hot] = [shape({ hazard: "moving", points: [[5, 0], [1, 9]] }), shape({ hazard: "moving", points: [[3, 0]] }), shape({ hazard: "hot", points: [[9, 9]] })];
  const tags = tagsOf([rear, hot, front]);
  assert.deepEqual([front, rear, hot].map((each) => tags.get(each)), ["M1", "M2", "H1"]);
});

const AROUND = { space: UNDER, spaces: [UNDER, CABIN], member: shape({ part: "member", path: ["members", 4] }), names: ["opening"], unit: "mm", hazard: "fuel", assumed: true };

test("a tapped part is assumed, a typed one is not", () => {
  const line = NEW_PARTS.find((part) => part.key === "keep-out line") ?? NEW_PARTS[0];
  /** @type {Point[]} */
  const points = [[0, 0], [500, 20]];
  assert.deepEqual(made(line, points, AROUND).edit, { file: "profile", op: "add", path: ["keep-outs"], value: { name: "fuel part", space: "underfloor", hazard: "fuel", along: points, width: "40 mm", assumed: "50 mm" } });
  assert.equal("assumed" in /** @type {any} */ (made(line, points, { ...AROUND, assumed: false }).edit.value), false);
});

test("every part that can be drawn goes to its own place in the file", () => {
  /** @type {Point[]} */
  const points = [[0, 0], [30, 40], [60, 0]];
  const paths = Object.fromEntries(NEW_PARTS.map((part) => [part.key, made(part, points, AROUND).edit.path.join("/")]));
  assert.deepEqual(paths, {
    "keep-out line": "keep-outs", "keep-out area": "keep-outs", "keep-out disc": "keep-outs", support: "supports", member: "members",
    "pass over": "members/4/passes", "pass through": "members/4/passes", opening: "openings", terminal: "terminals", cover: "covers",
    "panel level": "panels", "panel upright": "panels", exposed: "exposed", step: "spaces/underfloor/steps", space: "spaces/new space",
  });
  assert.ok(NEW_PARTS.every((part) => pointsNeeded(part.form)[0] <= 3));
});

test("a disc reaches from its middle to the second point; names are free", () => {
  const part = (/** @type {string} */ key) => NEW_PARTS.find((each) => each.key === key) ?? NEW_PARTS[0];
  assert.deepEqual(/** @type {any} */ (made(part("keep-out disc"), [[0, 0], [30, 40]], AROUND).edit.value).disc, { centre: [0, 0], radius: "50 mm" });
  assert.equal(made(part("opening"), [[0, 0]], AROUND).name, "opening 2");
});

test("a shield is asked for where it is hot, a pole on a battery post", () => {
  const keys = (/** @type {Shape} */ of, /** @type {any} */ raw) => fieldsOf(of, raw).map((field) => field.keys.join("."));
  assert.ok(keys(shape({}), { hazard: "hot" }).includes("shielded"));
  assert.ok(!keys(shape({}), { hazard: "fuel" }).includes("shielded"));
  assert.ok(keys(shape({ part: "terminal" }), { kind: "battery post" }).includes("pole"));
  assert.ok(!keys(shape({}), { heights: ["1 mm", "2 mm"] }).includes("space"));
});

test("a cut across meets a notched body twice, and a bare line once", () => {
  /** @type {Point[]} */
  const notched = [[0, 0], [30, 0], [30, 10], [10, 10], [10, 20], [30, 20], [30, 30], [0, 30]];
  assert.deepEqual(cuts(notched, 20, true).map((pair) => pair.map(Math.round)), [[0, 10], [20, 30]]);
  assert.deepEqual(cuts(notched, 5, true).map((pair) => pair.map(Math.round)), [[0, 30]]);
  assert.deepEqual(cuts([[0, 0], [100, 50]], 50, false).map((pair) => pair.map(Math.round)), [[25, 25]]);
  assert.deepEqual(cuts(notched, 99, true), []);
});

test("side view and cross-section show heights as they are, and from floor to roof where nobody said them", () => {
  const lost = shape({ name: "lost", points: box(0, 0, 100, 100) });
  const [tank, unknown] = sideSlices([TANK, lost]);
  assert.deepEqual([tank.from, tank.to, tank.low, tank.high, tank.known], [1700, 2100, 210, 340, true]);
  assert.deepEqual([unknown.low, unknown.high, unknown.known], [0, 340, false]);
  assert.deepEqual(crossSlices([TANK], 1800).map((each) => [each.from, each.to]), [[40, 440]]);
  assert.deepEqual(crossSlices([TANK], 100), []);
  assert.deepEqual(withoutHeights([TANK, lost]).map((each) => each.name), ["lost"]);
  assert.deepEqual(rangeOf([]), [0, 1000]);
  assert.deepEqual(heightsOf(UNDER), [325, 325]);
});

test("a step and a pass have no name of their own", () => {
  assert.equal(titleOf(shape({ part: "step", path: ["spaces", "cabin", "steps", 1], name: "cabin", space: "cabin" })), "step 2 in the cabin");
  assert.equal(titleOf(shape({ part: "pass", path: ["members", 0, "passes", 0], name: "beam", space: "cabin" })), "pass 1 of beam");
  assert.equal(titleOf(shape({ name: "" })), "keep-out 1");
});

test("faults come first, then what is nearest to the route, and each at the deepest part it belongs to", () => {
  const member = shape({ part: "member", path: ["members", 0], name: "beam" });
  const pass = shape({ part: "pass", path: ["members", 0, "passes", 1], name: "" });
  /** @type {any} */
  const state = {
    files: { profile: { unit: "mm" } }, shapes: [member, pass],
    faults: [
      { file: "profile", path: ["members", 0], what: "advice", cure: "", where: "", severity: "advice" },
      { file: "profile", path: ["members", 0, "passes", 1, "rise"], what: "rise", cure: "write", where: "", severity: "fault" },
    ],
    tasks: [{ file: "profile", path: ["members", 0, "assumed"], what: "assumed far", why: "", near_mm: 301 }, { file: "profile", path: ["members", 0, "assumed"], what: "assumed near", why: "", near_mm: 299 }, { file: "profile", path: ["members", 0, "width"], what: "far", why: "", near_mm: 900 }, { file: "profile", path: ["members", 0], what: "unknown", why: "", near_mm: null }, { file: "profile", path: ["members", 0], what: "near", why: "", near_mm: 10 }, { file: "profile", path: ["needed", 0], what: "needed", why: "", near_mm: null }],
  };
  assert.deepEqual(problemsOf(state).map((each) => each.what), ["rise", "needed", "near", "far", "unknown", "assumed near", "assumed far", "advice"]);
  assert.deepEqual(problemsOf(state).filter((each) => each.when === "later").map((each) => each.what), ["assumed near", "assumed far"]);
  assert.equal(shapeOf(state, "profile", ["members", 0, "passes", 1, "rise"]), pass);
  assert.equal(shapeOf(state, "profile", ["members", 7]), null);
  assert.equal(shapeOf(state, "job", ["members", 0]), null);
  assert.deepEqual(faultsOf(state, pass).map((each) => each.what), ["rise"]);
  assert.deepEqual(faultsOf(state, member).map((each) => each.what), ["advice"]);
});
