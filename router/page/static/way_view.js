/**
 * Ways on the plan: the chosen one bold, others beside it broken, findings at their places, and where it is too narrow.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./plans.js").Plans} Plans
 * @typedef {import("./plans.js").Shown} Shown
 * @typedef {import("./way_words.js").PlannedRun} PlannedRun
 */
import { svg } from "./dom.js";
import { open } from "./plan_parts.js";
import { otherKey } from "./plans.js";
import { shownSpace } from "./spaces.js";
import { piece } from "./stations.js";
import { heaps, livePoints, piecesOf } from "./way_pieces.js";
import { rankedFindings, reasonsAt } from "./way_words.js";

const MARK_APART_PX = 22;
const PINCH_PX = 26;

/**
 * @param {import("./plan_view.js").PlanView} drawing
 * @param {import("./store.js").Store} store
 * @param {Plans} plans
 */
export function drawWays(drawing, store, plans) {
  const ways = drawing.addLayer("ways");
  const others = svg("g");
  const chosen = svg("g");
  const moving = svg("g");
  ways.append(others, chosen, moving);
  drawing.sheet.querySelector(".layer.words")?.before(ways); // names stay readable over a way
  const marks = drawing.addOverlay("marks");
  const space = () => shownSpace(store.state(), store.ui())?.name ?? "";

  function drawChosen() {
    const shown = plans.get();
    const runs = shown.answer.no_way ? [] : shown.answer.plan?.runs ?? [];
    const moved = new Set(shown.live?.map((route) => route.run));
    others.replaceChildren(...runs.flatMap((run) => run.alternatives.flatMap((other, number) =>
      shown.others.includes(otherKey(run, number)) ? lines(other.points, space(), "other", "") : [])));
    const still = runs.map((run, number) => ({ run, number })).filter(({ run }) => !moved.has(run.name));
    chosen.replaceChildren(
      ...still.flatMap(({ run, number }) => lines(run.points, space(), `way dash-${number % 6}`, run.name)),
      ...spotLines(shown, runs, space()));
    ways.classList.toggle("stale", shown.answer.stage === "planning");
  }

  function drawMoving() {
    const { live } = plans.get();
    moving.replaceChildren(...(live ?? []).flatMap((route) => lines(livePoints(route.points), space(), "way moving", route.run)));
  }

  function drawMarks() {
    const shown = plans.get();
    marks.replaceChildren(...(shown.live ? [] : findingMarks(shown)), ...pinchMark(shown), ...hintMark(shown));
  }

  /** @param {Shown} shown */
  function findingMarks({ answer }) {
    if (!answer.plan || answer.no_way) return [];
    const here = rankedFindings(answer.plan).flatMap(({ finding, at }, number) =>
      (at && at.space === space() ? [{ finding, number: number + 1, at: drawing.toScreen([at.x, at.y]) }] : []));
    return heaps(here, MARK_APART_PX).map((heap) => {
      const [{ finding, number, at }] = heap;
      const words = heap.map((each) => `${each.number}: ${each.finding.what}`).join("\n");
      return svg("g", { class: `found ${finding.severity}`, transform: `translate(${at.join(" ")})` },
        svg("title", {}, words), svg("circle", { r: 10 }), svg("text", { dy: "0.35em" }, heap.length > 1 ? `${number}+` : `${number}`));
    });
  }

  /** @param {Shown} shown */
  function pinchMark({ answer }) {
    const pinch = answer.no_way?.pinch;
    if (!pinch?.at || (pinch.space && pinch.space !== space())) return [];
    return [svg("g", { class: "pinch", transform: `translate(${drawing.toScreen(pinch.at).join(" ")})` },
      svg("title", {}, answer.no_way?.says ?? ""), svg("circle", { r: PINCH_PX }),
      svg("path", { d: "M-54 0h22m-9 -8l9 8l-9 8M54 0h-22m9 -8l-9 8l9 8" }),
      svg("text", { y: PINCH_PX + 18 }, "too narrow"))];
  }

  /** @param {Shown} shown */
  function hintMark({ hint }) {
    return hint ? [svg("g", { class: "hint", transform: `translate(${drawing.toScreen(hint).join(" ")})` }, svg("circle", { r: 18 }))] : [];
  }

  plans.subscribe((now, before) => {
    if (now.live !== before.live) drawMoving();
    const same = /** @type {const} */ (["answer", "others", "spot"]).every((key) => now[key] === before[key]);
    if (!same || !now.live !== !before.live || runsOf(now) !== runsOf(before)) drawChosen();
    if (now.answer !== before.answer || now.hint !== before.hint || !now.live !== !before.live) drawMarks();
  });
  store.subscribe((now, before) => {
    if (now.ui.space === before.ui.space && now.ui.seenFrom === before.ui.seenFrom && now.state === before.state) return;
    drawChosen();
    drawMoving();
    drawMarks();
  });
  drawing.onView(drawMarks);
}

/** @param {Shown} shown */
const runsOf = (shown) => shown.live?.map((route) => route.run).join("\n") ?? "";

/**
 * @param {{x: number, y: number, space: string}[]} points
 * @param {string} space
 * @param {string} kind
 * @param {string} name
 * @returns {SVGElement[]}
 */
function lines(points, space, kind, name) {
  return piecesOf(points, space).flatMap(({ here, line }) => {
    const d = open(line);
    if (!here) return [svg("path", { class: `${kind} elsewhere`, d })];
    return [svg("path", { class: "casing", d }), svg("path", { class: kind, d }, name ? svg("title", {}, name) : null)];
  });
}

/**
 * The stretch for which the reasons hold that are told.
 * @param {Shown} shown
 * @param {PlannedRun[]} runs
 * @param {string} space
 */
function spotLines({ spot }, runs, space) {
  const run = runs.find((each) => each.name === spot?.run);
  if (!run || !spot) return [];
  return reasonsAt(run, spot.station).flatMap((reason) =>
    piecesOf(piece(run.points, reason.station, reason.to_station), space).filter((each) => each.here)
      .map(({ line }) => svg("path", { class: "spot", d: open(line) })));
}
