import assert from "node:assert/strict";
import test from "node:test";

import { createPlans, otherKey } from "../../router/page/static/plans.js";

/** @type {any} */
const RUN = { name: "supply", routed_mm: 1000, alternatives: [{}, {}] };
const answer = (/** @type {string} */ stage, /** @type {unknown} */ plan = null, more = {}) => ({ stage, says: null, plan, no_way: null, ...more });

/** A server that answers when the test says so. */
function bench() {
  /** @type {((answer: unknown) => void)[]} */
  const asked = [];
  const plans = createPlans({ call: () => new Promise((done) => asked.push(done)) });
  return { asked, plans };
}

test("an answer that comes late, behind a newer one, is not shown", async () => {
  const { asked, plans } = bench();
  const [first, second] = [plans.refresh(), plans.refresh()];
  asked[1](answer("answer", { runs: [RUN], gap: 2 }));
  await second;
  asked[0](answer("answer", { runs: [RUN], gap: 1 }));
  await first;
  assert.equal(plans.get().answer.plan?.gap, 2);
});

test("while a plan is made anew, the plan before and what was pointed at stay", async () => {
  const { asked, plans } = bench();
  const put = async (/** @type {unknown} */ next) => {
    const done = plans.refresh();
    asked[asked.length - 1](next);
    await done;
  };
  await put(answer("proof", { runs: [RUN], gap: 0 }));
  plans.show({ spot: { run: "supply", station: 900 }, live: [] });
  plans.toggle(otherKey(RUN, 1));
  await put(answer("planning"));
  assert.equal(plans.get().answer.stage, "planning");
  assert.equal(plans.get().answer.plan?.gap, 0);
  assert.deepEqual(plans.get().live, []);
  await put(answer("answer", { runs: [{ ...RUN, routed_mm: 800, alternatives: [{}] }], gap: 0 }));
  assert.equal(plans.get().spot, null); // 900 mm are not on a run of 800 mm
  assert.deepEqual(plans.get().others, []); // the second alternative is gone
  assert.equal(plans.get().live, null);
  await put(answer("refused"));
  assert.equal(plans.get().answer.plan, null);
});

test("an alternative is shown and hidden by the same key", () => {
  const { plans } = bench();
  plans.toggle("0 supply");
  plans.toggle("1 supply");
  plans.toggle("0 supply");
  assert.deepEqual(plans.get().others, ["1 supply"]);
});
