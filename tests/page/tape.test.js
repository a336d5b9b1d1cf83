/** Lengths as people write them. Expected values by hand: 1 in = 25.4 mm exactly (ISO 80000-3, inch of 1959). */
import assert from "node:assert/strict";
import { test } from "node:test";
import { inUnit, lengthOf, onTape } from "../../router/page/static/tape.js";

/** @type {[string, string, number][]} */
const READ = [
  ["1650", "mm", 1650],
  ["1650", "in", 41910],
  ["1,5 m", "mm", 1500],
  ["1.5m", "in", 1500],
  ["1,650 m", "mm", 1650],
  ["66.5 in", "mm", 1689.1],
  ['5\' 6 1/2"', "mm", 1689.1],
  ["5 ft 6", "mm", 1676.4],
  ["65 1/2", "in", 1663.7],
  ["65-1/2 in", "mm", 1663.7],
  ["3/8", "in", 9.525],
  ['-12"', "mm", -304.8],
  ["-3/4", "in", -19.05],
  ["\u2212430", "mm", -430],
  ["43 cm", "mm", 430],
  ["0", "mm", 0],
  ["2'", "mm", 609.6],
];

for (const [text, unit, mm] of READ) {
  test(`"${text}" with a tape in ${unit} is ${mm} mm`, () => {
    assert.ok(Math.abs((lengthOf(text, unit) ?? NaN) - mm) < 1e-9, String(lengthOf(text, unit)));
  });
}

for (const text of ["", "abc", "1,650", "1.650", "1,650 mm", "12 stone", "3/0 in", "1/2", "5' 13\"", "1.2.3", "NaN", "1e3", "Infinity", "--5"]) {
  test(`"${text}" is not guessed`, () => assert.equal(lengthOf(text, "mm"), null));
}

/** @type {[number, string, string][]} */
const SHOWN = [
  [1650, "mm", "1650"], [1650.4, "mm", "1650"], [-0.2, "mm", "0"], [1663.7, "in", "65 1/2"], [9.525, "in", "3/8"],
  [304.8, "in", "12"], [-19.05, "in", "-3/4"], [1.5875, "in", "1/16"], [0, "in", "0"], [430, "cm", "43"],
];

for (const [mm, unit, words] of SHOWN) {
  test(`${mm} mm on a tape in ${unit} reads ${words}`, () => assert.equal(onTape(mm, unit), words));
}

test("a length in the file carries its unit", () => {
  assert.equal(inUnit(60, "mm"), "60 mm");
  assert.equal(inUnit(63.5, "in"), "2.5 in");
  assert.equal(inUnit(-0.01, "mm"), "0 mm");
  assert.equal(inUnit(12, "furlong"), "12 mm");
});

test("what a tape shows is read back as the same length, to half a sixteenth of an inch", () => {
  for (let mm = -3000; mm <= 3000; mm += 37) {
    assert.ok(Math.abs((lengthOf(onTape(mm, "in"), "in") ?? NaN) - mm) <= 25.4 / 32 + 1e-9, String(mm));
    assert.equal(lengthOf(onTape(mm, "mm"), "mm"), mm);
  }
});
