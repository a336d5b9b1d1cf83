/**
 * What is left to do: faults, values still to be measured, advice. Each stands at the thing itself on the plan, and the list
 * leads through them.
 *
 * @typedef {import("./main.js").Page} Page
 * @typedef {import("./problems.js").Problem} Problem
 */
import { el, svg } from "./dom.js";
import { samePath } from "./edits.js";
import { middleOf } from "./geometry.js";
import { problemsOf, shapeOf } from "./problems.js";
import { liesIn, shownSpace, spacesOf } from "./spaces.js";
import { said } from "./tape.js";

/** @type {{kind: Problem["kind"], when: Problem["when"], title: string}[]} */
const GROUPS = [
  { kind: "fault", when: "now", title: "Put right" },
  { kind: "task", when: "first", title: "Measure first: the plan hangs on it" },
  { kind: "task", when: "now", title: "Still to measure" },
  { kind: "advice", when: "now", title: "Worth a look" },
];
const WORDS = { fault: "Put right", task: "Still to measure", advice: "Worth a look" };

/** @param {Page} page */
export function createLists(page) {
  const { store, plan, panels, plans } = page;
  const element = el("div", {});
  const marks = plan.addOverlay("problem-marks");
  panels.add({ key: "todo", title: "To do", element, order: 30 });
  /** @type {Problem[]} */
  let problems = [];
  let at = -1;
  let drawn = "";

  function draw() {
    const { state, ui } = store.get();
    const met = problems[at];
    problems = problemsOf(state, plans.get().answer.plan);
    const isMet = (/** @type {Problem} */ each) => each.kind === met?.kind && each.what === met.what && (each.path === met.path || samePath(each.path, met.path));
    if (met && !(problems[at] && isMet(problems[at])) && problems.some(isMet)) at = problems.findIndex(isMet); // a new plan orders them anew
    const now = JSON.stringify([problems, at, ui.unit]);
    if (now === drawn) return;
    drawn = now;
    panels.count("todo", problems.filter((each) => each.kind !== "advice" && each.when !== "later").length, "to do");
    element.replaceChildren(el("h2", {}, problems.length ? "To do" : "Nothing to do"),
      problems.length ? steps() : el("p", {}, "No fault, and every value is measured."), ...groups(), ...later());
    drawMarks();
  }

  function groups() {
    return GROUPS.flatMap(({ kind, when, title }) => {
      const found = problems.flatMap((problem, number) => (problem.kind === kind && problem.when === when ? [{ problem, number }] : []));
      return found.length ? [el("h3", {}, `${title} (${found.length})`), el("div", { class: "list" }, ...found.map(({ problem, number }) => row(problem, number)))] : [];
    });
  }

  /** What may stay assumed as long as no route comes near: folded, so that it hides nothing that matters. */
  function later() {
    const found = problems.flatMap((problem, number) => (problem.when === "later" ? [row(problem, number)] : []));
    const open = problems[at]?.when === "later";
    return found.length ? [el("details", { class: "points", open }, el("summary", {}, `May stay assumed for now (${found.length})`), el("div", { class: "list" }, ...found))] : [];
  }

  /**
   * @param {Problem} problem
   * @param {number} number
   */
  function row(problem, number) {
    const near = problem.near_mm === null || problem.when === "first" ? "" : `${said(problem.near_mm, store.ui().unit)} from the route. `;
    return el("button", { type: "button", class: `item problem ${problem.kind}`, "aria-current": number === at ? "true" : null, onclick: () => go(number) },
      el("span", { class: "mark", "aria-hidden": "true" }, MARKS[problem.kind]),
      el("span", { class: "grow" }, el("b", {}, problem.where ? `${problem.where}: ` : ""), problem.what, problem.why || near ? el("span", { class: "small quiet block" }, `${near}${problem.why}`) : null));
  }

  /** @param {number} number */
  function go(number) {
    if (!problems.length) return;
    at = (number + problems.length) % problems.length;
    const problem = problems[at];
    const { state, ui } = store.get();
    const shape = shapeOf(state, problem.file, problem.path);
    const shown = shownSpace(state, ui);
    if (shape) {
      const space = shape.part === "space" ? shape : shown && liesIn(shape, shown) ? shown : spacesOf(state).find((each) => liesIn(shape, each));
      store.show({ space: space?.name ?? ui.space, seenFrom: space === shown ? ui.seenFrom : null });
      store.show({ selected: shape.path, selectedFile: shape.file, point: null, says: "" });
      if (shape.points.length) plan.goTo(middleOf(shape));
    } else store.show({ says: `${problem.where}: ${problem.what} ${problem.why}` });
    draw();
  }

  function drawMarks() {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    marks.replaceChildren();
    if (!space) return;
    const seen = new Set();
    for (const problem of problems) {
      const is_marked = problem.kind !== "advice" && (problem.when !== "later" || problem === problems[at]);
      const shape = !is_marked ? null : shapeOf(state, problem.file, problem.path);
      if (!shape || seen.has(shape) || !liesIn(shape, space) || !shape.points.length) continue;
      seen.add(shape);
      const [x, y] = plan.toScreen(shape.part === "space" ? shape.points[0] : middleOf(shape));
      marks.append(svg("g", { class: `problem-mark ${problem.kind}`, transform: `translate(${x + 16} ${y - 16})` }, svg("circle", { r: 9 }), svg("text", { y: 0.5 }, MARKS[problem.kind])));
    }
  }

  plan.onView(drawMarks);
  plans.subscribe((now, before) => {
    if (now.answer.plan !== before.answer.plan) draw();
  });
  store.subscribe((now, before) => {
    if (now.state !== before.state || now.ui.unit !== before.ui.unit) draw();
    if (now.ui.space !== before.ui.space || now.ui.seenFrom !== before.ui.seenFrom) drawMarks();
  });
  draw();
  return {
    next: () => go(at + 1),
    previous: () => go(at - 1),
    go,
    /** Where the walk through the list is. */
    where: () => at,
    /**
     * What the walk says at a part, with the way on; null where it is elsewhere.
     * @param {import("./types.js").Shape} shape
     */
    walk(shape) {
      const problem = met(shape);
      return problem && el("div", { class: `note walk ${problem.kind}` }, el("p", {}, el("b", {}, `${WORDS[problem.kind]}, ${at + 1} of ${problems.length}: `), problem.what),
        problem.why && el("p", { class: "small" }, problem.why), steps());
    },
    /**
     * The field of a part's form that the walk is about.
     * @param {import("./types.js").Shape} shape
     */
    fieldOf(shape) {
      const keys = met(shape)?.path?.slice(shape.path.length) ?? [];
      return keys.length ? `part-${(keys.length === 1 && keys[0] === "heights" ? ["heights", 0] : keys).join("-")}` : null;
    },
  };

  /** @param {import("./types.js").Shape} shape */
  function met(shape) {
    const problem = problems[at];
    return problem && shapeOf(store.state(), problem.file, problem.path) === shape ? problem : null;
  }

  function steps() {
    return el("div", { class: "row" }, el("button", { type: "button", onclick: () => go(at - 1) }, "‹ Previous"), el("button", { type: "button", class: "deed", onclick: () => go(at + 1) }, "Next ›"));
  }
}

const MARKS = { fault: "!", task: "?", advice: "i" };

/** @typedef {ReturnType<typeof createLists>} Lists */
