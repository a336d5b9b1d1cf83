/**
 * The card over the plan: what was tapped, what a run shall do with it, and why the way lies there.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./plans.js").Plans} Plans
 * @typedef {import("./store.js").Store} Store
 */
import { el } from "./dom.js";
import { pick } from "./job_fields.js";
import * as edits from "./job_edits.js";
import { selectedShape, titleOf } from "./spaces.js";
import { nearestStation } from "./stations.js";
import { runAt } from "./way_pieces.js";
import { reasonsAt, stretchWords, tapeWords } from "./way_words.js";

const REACH_PX = 14;

/**
 * @param {{drawing: import("./plan_view.js").PlanView, store: Store, server: import("./server.js").Server, plans: Plans}} means
 */
export function createSpotCard({ drawing, store, server, plans }) {
  const element = el("aside", { class: "spot-card", "aria-label": "What was tapped", hidden: true });
  let chosen = 0;

  function draw() {
    const { state, ui } = store.get();
    const parts = plans.get().live ? [] : [partChoice(selectedShape(state, ui)), why()].filter((each) => each !== null);
    element.hidden = parts.length === 0;
    const close = el("button", { type: "button", class: "close", "aria-label": "Close", onclick: shut }, "×");
    element.replaceChildren(...(parts.length ? [close, ...parts] : []));
  }

  function shut() {
    store.show({ selected: null });
    plans.show({ spot: null });
  }

  /** @param {import("./types.js").Shape|null} shape */
  function partChoice(shape) {
    const job = store.state()?.data.job ?? null;
    const runs = edits.runsOf(job);
    if (!shape || !shape.name || !runs.length) return null;
    const [mayGoBy, mayAvoid] = [edits.GO_BY_PARTS.includes(shape.part), edits.AVOID_PARTS.includes(shape.part)];
    if (!mayGoBy && !mayAvoid) return null;
    chosen = Math.min(chosen, runs.length - 1);
    const said = edits.told(runs[chosen], shape.name);
    const choose = (/** @type {import("./job_edits.js").Edit[]} */ wanted) => void server.edit(wanted);
    const button = (/** @type {string} */ words, /** @type {boolean} */ on, /** @type {() => import("./job_edits.js").Edit[]} */ make) =>
      el("button", { type: "button", "aria-pressed": String(on), onclick: () => choose(make()) }, words);
    return el("div", { class: "part-choice" },
      el("h2", {}, titleOf(shape)),
      runs.length > 1 && pick({
        label: "Run", value: String(chosen), options: runs.map((run, index) => [String(index), String(run.run ?? index + 1)]),
        change: (value) => { chosen = Number(value); draw(); },
      }),
      el("div", { class: "buttons" },
        mayGoBy && button("Go by this", said === "via", () => edits.goBy(job, chosen, shape.name)),
        mayAvoid && button("Do not use this", said === "avoid", () => edits.doNotUse(job, chosen, shape.name)),
        said && button("As it likes", false, () => edits.freely(job, chosen, shape.name))));
  }

  function why() {
    const { answer, spot } = plans.get();
    const run = answer.plan?.runs.find((each) => each.name === spot?.run);
    if (!run || !spot) return null;
    const unit = store.state()?.files.profile.unit ?? "mm";
    const reasons = reasonsAt(run, spot.station).map((reason) => el("li", {}, el("span", { class: "station" }, stretchWords(reason, unit)), ` ${reason.why}`));
    return el("div", { class: "why-here" },
      el("h2", {}, `${run.name} at ${tapeWords(spot.station, unit)}: why here`),
      reasons.length ? el("ul", { class: "plain" }, ...reasons) : el("p", {}, "Nothing turns it here: it is the straight way on."));
  }

  /** @param {Point} at */
  const met = (at) => {
    const { answer, live } = plans.get();
    if (live || answer.no_way || !answer.plan) return null;
    return runAt(answer.plan.runs, at, REACH_PX * drawing.pixel(), nearestStation);
  };
  drawing.onTap((at) => {
    const found = store.ui().tool ? null : met(at);
    plans.show({ spot: found && { run: found.run.name, station: found.station } });
  });
  let hovered = "";
  drawing.onHover((at) => {
    const found = at && met(at);
    const reason = found ? reasonsAt(found.run, found.station)[0] : undefined;
    const says = found ? `${found.run.name}, ${tapeWords(found.station)}: ${reason?.why ?? "the straight way on"}` : "";
    if (says === hovered) return;
    if (says || store.ui().says === hovered) store.show({ says });
    hovered = says;
  });
  plans.subscribe((now, before) => (now.spot !== before.spot || now.answer !== before.answer || !now.live !== !before.live) && draw());
  store.subscribe((now, before) => (now.state !== before.state || now.ui.selected !== before.ui.selected) && draw());
  return element;
}
