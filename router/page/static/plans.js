/**
 * The newest answer of the planner, and what this window shows of it.
 *
 * @typedef {import("./way_words.js").PlanAnswer} PlanAnswer
 * @typedef {import("./way_words.js").PlannedRun} PlannedRun
 * @typedef {{run: string, station: number}} Spot A place on a run that was pointed at.
 * @typedef {{run: string, points: [number, number, number, string][]}} LiveRoute While something is dragged.
 * @typedef {{answer: PlanAnswer, spot: Spot|null, others: string[], live: LiveRoute[]|null, blocked: string|null,
 *   hint: [number, number]|null}} Shown `others`: keys of alternatives drawn; `hint`: a place that is pointed out.
 * @typedef {(now: Shown, before: Shown) => void} Listener
 */

/** @type {Shown} */
const START = {
  answer: { stage: "none", says: null, plan: null, no_way: null },
  spot: null,
  others: [],
  live: null,
  blocked: null,
  hint: null,
};

/** @param {Pick<import("./server.js").Server, "call">} server */
export function createPlans(server) {
  let shown = START;
  let asked = 0;
  /** @type {Set<Listener>} */
  const listeners = new Set();

  /** @param {Partial<Shown>} change */
  function show(change) {
    const before = shown;
    const keys = /** @type {(keyof Shown)[]} */ (Object.keys(change));
    if (keys.every((key) => before[key] === change[key])) return;
    shown = { ...shown, ...change };
    for (const listener of [...listeners]) listener(shown, before);
  }

  return {
    get: () => shown,
    show,
    /** Ask for the newest answer; one that comes late, behind a newer one, is dropped. */
    async refresh() {
      asked += 1;
      const number = asked;
      const answer = /** @type {PlanAnswer} */ (await server.call("/plan"));
      if (number !== asked) return;
      show({ answer: taken(shown.answer, answer), ...kept(shown, answer) });
    },
    /**
     * Draw another way beside the chosen one, or no longer.
     * @param {string} key
     */
    toggle(key) {
      const { others } = shown;
      show({ others: others.includes(key) ? others.filter((each) => each !== key) : [...others, key] });
    },
    /**
     * Call a function after every change. Returns how to end that.
     * @param {Listener} listener
     */
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

/**
 * The answer to show: while a new plan is made, the plan before stays.
 * @param {PlanAnswer} before
 * @param {PlanAnswer} answer
 * @returns {PlanAnswer}
 */
export function taken(before, answer) {
  if (answer.stage !== "planning" || answer.plan || answer.no_way) return answer;
  return { ...answer, plan: before.plan };
}

/**
 * What stays pointed at once another answer is there: only what that answer has too.
 * @param {Shown} shown
 * @param {PlanAnswer} answer
 * @returns {Partial<Shown>}
 */
function kept(shown, answer) {
  if (answer.stage === "planning") return {};
  const runs = answer.plan?.runs ?? [];
  const others = shown.others.filter((key) => runs.some((run) => run.alternatives.some((_, at) => otherKey(run, at) === key)));
  const run = runs.find((each) => each.name === shown.spot?.run);
  const spot = run && shown.spot && shown.spot.station <= run.routed_mm ? shown.spot : null;
  return { others, spot, live: null, blocked: null, hint: null };
}

/**
 * The key of an alternative among all of a plan.
 * @param {PlannedRun} run
 * @param {number} number
 */
export function otherKey(run, number) {
  return `${number} ${run.name}`;
}

/** @typedef {ReturnType<typeof createPlans>} Plans */
