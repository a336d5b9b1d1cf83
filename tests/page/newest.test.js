import assert from "node:assert/strict";
import test from "node:test";

import { Newest } from "../../router/page/static/newest.js";

/** Answers that are given when the test says so. */
function bench() {
  /** @type {{question: string, answer: (words: string) => void, fail: (problem: Error) => void}[]} */
  const asked = [];
  /** @type {string[]} */
  const told = [];
  /** @type {string[]} */
  const failed = [];
  const newest = new Newest(
    (question) => new Promise((answer, fail) => asked.push({ question, answer, fail })),
    (answer) => told.push(answer),
    (problem) => failed.push(String(problem)),
  );
  const settled = () => new Promise((done) => setTimeout(done));
  return { asked, told, failed, newest, settled };
}

test("while one question is under way only the newest of the others waits", async () => {
  const { asked, told, newest, settled } = bench();
  for (const question of ["a", "b", "c", "d"]) newest.put(question);
  assert.deepEqual(asked.map((each) => each.question), ["a"]);
  asked[0].answer("A");
  await settled();
  assert.deepEqual(asked.map((each) => each.question), ["a", "d"]);
  asked[1].answer("D");
  await settled();
  assert.deepEqual(told, ["A", "D"]);
});

test("what was asked before a drag ended is not told after it", async () => {
  const { asked, told, newest, settled } = bench();
  newest.put("a");
  newest.put("b");
  newest.forget();
  asked[0].answer("A");
  await settled();
  assert.equal(asked.length, 1);
  assert.deepEqual(told, []);
  newest.put("c");
  asked[1].answer("C");
  await settled();
  assert.deepEqual(told, ["C"]);
});

test("a question that fails does not hold up the next", async () => {
  const { asked, told, failed, newest, settled } = bench();
  newest.put("a");
  newest.put("b");
  asked[0].fail(new Error("no server"));
  await settled();
  asked[1].answer("B");
  await settled();
  assert.deepEqual(failed, ["Error: no server"]);
  assert.deepEqual(told, ["B"]);
});
