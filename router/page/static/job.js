/**
 * The job and its plan on the page: panels, ways on the drawing, hands, and what comes from the planner.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {{store: import("./store.js").Store, server: import("./server.js").Server,
 *   panels: import("./panels.js").Panels, plans: import("./plans.js").Plans, plan: import("./plan_view.js").PlanView}} Page
 */
import { byId } from "./dom.js";
import { listenToHands } from "./job_drag.js";
import { createJobPanel } from "./job_panel.js";
import { measureRows } from "./measure_words.js";
import { createPlanPanel } from "./plan_panel.js";
import { createPrintPanel } from "./print_panel.js";
import { createSpotCard } from "./spot_card.js";
import { drawWays } from "./way_view.js";
import { VERDICT_STAGES, headline, verdictOf } from "./way_words.js";

const NARROW = "(max-width: 900px) and (orientation: portrait), (max-width: 620px)"; // as page.css: panels lie over the plan

/** @param {Page} page */
export function createJob({ store, server, panels, plans, plan: drawing }) {
  drawWays(drawing, store, plans);
  const job = createJobPanel({ store, server, placing: (placing) => {
    if (placing) store.show({ space: placing.space, tool: null });
    if (placing?.isTapped && matchMedia(NARROW).matches) {
      panels.putAway(true);
      store.show({ says: `${placing.name}: tap where it sits, or open the job to type it.` });
    }
    hands.wait(placing !== null);
  } });
  const hands = listenToHands({ drawing, store, server, plans, put: (at) => void job.put(at, null) });
  byId("plan").append(createSpotCard({ drawing, store, server, plans }));

  panels.add({ key: "job", title: "Job", order: 60, element: job.element });
  panels.add({ key: "way", title: "Plan", order: 70, element: createPlanPanel({ store, plans, lead, leadTo }) });
  panels.add({ key: "print", title: "Print", order: 80, element: createPrintPanel({ store, plans, address }) });

  /**
   * Bring a place of the vehicle before the eyes.
   * @param {Point} at
   * @param {string|null} [space]
   */
  function lead(at, space = null) {
    if (space) store.show({ space, seenFrom: null });
    plans.show({ hint: at });
    drawing.goTo(at);
  }

  /**
   * @param {import("./types.js").Path} path
   * @param {"profile"|"job"} file
   */
  function leadTo(path, file) {
    const begins = (/** @type {import("./types.js").Path} */ part) => part.every((key, index) => key === path[index]);
    const found = (store.state()?.shapes ?? []).filter((shape) => shape.file === file && begins(shape.path));
    const shape = found.sort((one, other) => other.path.length - one.path.length)[0];
    if (!shape) return;
    store.show({ selected: shape.path, selectedFile: shape.file });
    if (shape.points.length) lead(shape.points[Math.floor(shape.points.length / 2)], shape.space);
  }

  /**
   * An address that a tab of its own may open: no header goes with it, so that the token stands in it.
   * @param {string} path
   */
  function address(path) {
    const token = document.querySelector('meta[name="sketch-token"]')?.getAttribute("content") ?? "";
    return `${path}${path.includes("?") ? "&" : "?"}token=${encodeURIComponent(token)}`;
  }

  plans.subscribe((now, before) => {
    if (now.answer === before.answer) return;
    const { plan, no_way: noWay } = now.answer;
    panels.count("way", noWay ? 1 : plan?.findings.filter((each) => each.severity === "must").length ?? 0, "to put right");
    const isNew = plan && !noWay && VERDICT_STAGES.includes(now.answer.stage);
    store.show({ says: isNew ? `${verdictOf(plan, measureRows(store.state(), plan).now.length).says}. ${headline(now.answer)}` : headline(now.answer) });
  });

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || document.querySelector("#over > [role=dialog]")) return;
    if (job.isPlacing()) job.place(null);
    plans.show({ spot: null, hint: null });
  });

  return {
    /** Take what can be fitted; while the server is away the notice on the page says so. */
    begin: () => void job.begin().catch(() => {}),
    /** The planner has something new. */
    planned: () => void plans.refresh().catch(() => {}),
  };
}
