import assert from "node:assert/strict";
import test from "node:test";

import * as words from "../../router/page/static/way_words.js";

const POINTS = [
  { x: 0, y: 0, z: 500, space: "cabin", station: 0 },
  { x: 1000, y: 0, z: 500, space: "cabin", station: 1000 },
];
const run = (/** @type {string} */ name, more = {}) => ({
  name, from: "a", to: "b", points: POINTS, routed_mm: 1000, cut_mm: 1500, conductors: [], fuse: null,
  fixings: [], reasons: [], alternatives: [], ...more,
});
const plan = (more = {}) => ({ gap: 0, runs: [run("one"), run("two")], findings: [], bill: [], ...more });
const finding = (
  /** @type {string} */ severity, /** @type {string|null} */ runName, /** @type {number|null} */ station, /** @type {string} */ what,
) => ({ severity, run: runName, station, what });

test("lengths are read off a tape to 5 mm, or to a quarter of an inch", () => {
  assert.deepEqual([4673, 4677.5, 100, 0].map((mm) => words.tapeWords(mm)), ["4.675 m", "4.68 m", "0.10 m", "0.00 m"]);
  // 25.4 mm an inch: 1657.35 = 65 1/4 in, 12.7 = 1/2 in, 254 = 10 in
  assert.deepEqual(
    [1657.35, 12.7, 254, 0].map((mm) => words.tapeWords(mm, "in")),
    ["65 1/4 in", "1/2 in", "10 in", "0 in"],
  );
});

test("an answer is called not proven until the proof is there", () => {
  const said = (/** @type {any} */ stage, more = {}) => words.headline({ stage, plan: plan(), no_way: null, ...more });
  assert.match(said("answer"), /not proven yet/);
  assert.equal(said("proof"), "The way is proven: none takes less effort.");
  assert.equal(
    said("proof", { plan: plan({ gap: 0.01234 }) }),
    "The way is proven to take at most 1.3 % more effort than the best.",
  );
  assert.match(said("planning"), /the plan before/);
  assert.equal(said("planning", { plan: null }), "Planning.");
  assert.equal(said("proof", { no_way: { says: "", pinch: null, cures: [] } }), "There is no way through.");
});

test("what stands against a plan is said before what is proven of it", () => {
  const verdict = (/** @type {string[]} */ weights, /** @type {number} */ toMeasure) => {
    const findings = weights.map((weight) => finding(weight, null, null, "x"));
    const { weight, says } = words.verdictOf(plan({ findings }), toMeasure);
    return `${weight}: ${says}`;
  };
  assert.deepEqual(
    [
      verdict(["must", "should", "must", "must"], 21), verdict(["must"], 0), verdict([], 21), verdict(["note"], 1),
      verdict(["should", "should"], 2), verdict(["should"], 0), verdict(["note"], 0), verdict([], 0),
    ],
    [
      "must: Do not start: 3 must be put right, 21 to measure first", "must: Do not start: 1 must be put right",
      "should: Measure 21 places first", "should: Measure 1 place first",
      "should: Measure 2 places first, 2 findings to look at", "should: Before you start: 1 finding to look at",
      "clear: Nothing stands against this plan", "clear: Nothing stands against this plan",
    ],
  );
});

test("findings come the weighty first, then by run and station, each with its place", () => {
  const findings = [
    finding("note", "one", 10, "n"), finding("should", "two", 700, "s2"), finding("should", "one", null, "s1 whole"),
    finding("should", "one", 250, "s1"), finding("must", null, null, "m"),
  ];
  const ranked = words.rankedFindings(plan({ findings }));
  assert.deepEqual(ranked.map((each) => each.finding.what), ["m", "s1", "s1 whole", "s2", "n"]);
  assert.deepEqual(ranked.map((each) => each.at?.x ?? null), [null, 250, null, 700, 10]);
  assert.equal(words.findingCount(plan({ findings })), "1 must, 3 should, 1 note");
  assert.equal(words.findingCount(plan()), null);
});

test("what hangs on what nobody measured is not to be cut", () => {
  const hanging = (/** @type {string} */ part, /** @type {string} */ name, /** @type {string} */ by) =>
    ({ still_to_measure: [{ part, name, assumed_mm: 60, near_mm: 0, run: by }] });
  const warned = (/** @type {number|undefined} */ off, more = {}, unit = "mm") => words.cutWarning(run("one", { uncertainty_mm: off }), plan(more), unit);
  assert.equal(warned(100), null);
  assert.equal(warned(undefined), null);
  assert.equal(warned(101), "do not cut before measuring: it may be off by 101 mm");
  assert.equal(warned(254, {}, "in"), "do not cut before measuring: it may be off by 10 in"); // 10 x 25.4 mm
  assert.equal(warned(20.4, hanging("support", "sill", "one")), "do not cut before measuring: it may be off by 20 mm");
  assert.equal(warned(20.4, hanging("support", "sill", "two")), null);
  assert.match(warned(20.4, hanging("terminal", "b", "two")) ?? "", /^do not cut/); // its own end
  assert.deepEqual(words.runFacts(run("one"), "mm", "do not")[1], ["Cut at", "1.50 m; do not"]);
});

test("a run says its lengths, conductors, fuse and fixings", () => {
  const facts = words.runFacts(run("one", {
    conductors: [{ name: "supply", colour: "red", size: "10 mm2" }],
    fuse: { rating_a: 20, station: 150, second_station_mm: 900 },
    fixings: [{ hole: null }, { hole: {} }, { shared_with: "two" }],
  }));
  assert.deepEqual(facts, [
    ["Length", "1.00 m on the vehicle"],
    ["Cut at", "1.50 m"],
    ["Conductors", "supply 10 mm2 red"],
    ["Fuse", "20 A, 0.15 m and 0.90 m from the start"],
    ["Fixings", "2, and 1 shared with another run, 1 hole to drill"],
  ]);
});

test("a finger on the way gets the reasons that hold there, else the last one before", () => {
  const reasons = [
    { station: 30, to_station: 400, why: "follows" },
    { station: 500, to_station: 500, why: "opening" },
  ];
  const why = (/** @type {number} */ station) => words.reasonsAt(run("one", { reasons }), station).map((each) => each.why);
  assert.deepEqual(why(200), ["follows"]);
  assert.deepEqual(why(494), ["opening"]); // 6 mm off: nobody points finer
  assert.deepEqual(why(450), ["follows"]);
  assert.deepEqual(why(900), ["opening"]);
  assert.deepEqual(why(5), []);
});

test("a stretch is told by both its stations, a point by one", () => {
  assert.equal(words.stretchWords({ station: 500, to_station: 501, why: "" }), "at 0.50 m");
  assert.equal(words.stretchWords({ station: 30, to_station: 400, why: "" }), "0.03 m to 0.40 m");
});

test("the bill counts pieces without the word, and everything else with its unit", () => {
  const bill = [
    { item: "tie", spec: "s", quantity: 4, unit: "piece", where: "w" },
    { item: "conductor", spec: "s", quantity: 4.75, unit: "m", where: "w" },
  ];
  assert.deepEqual(words.billRows(plan({ bill })).map((row) => row.quantity), ["4", "4.75 m"]);
});
