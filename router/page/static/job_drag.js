/**
 * Hands on the job: a unit is put where the drawing is tapped, units and ends of runs are dragged, and while they are
 * dragged the way follows. What is older than the newest answer is never drawn.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./plan_view.js").Drag} Drag
 * @typedef {import("./plans.js").LiveRoute} LiveRoute
 * @typedef {{number: number, terminal: string, space: string, at: Point}} WayQuestion
 * @typedef {{number: number, dropped?: boolean, routes?: LiveRoute[], no_way?: {says: string}|null}} WayAnswer
 * @typedef {{drawing: import("./plan_view.js").PlanView, store: import("./store.js").Store,
 *   server: import("./server.js").Server, plans: import("./plans.js").Plans, put: (at: Point) => void}} Means
 */
import { svg } from "./dom.js";
import { filePoint, samePath } from "./edits.js";
import * as edits from "./job_edits.js";
import { Newest } from "./newest.js";
import { shownSpace } from "./spaces.js";

const REACH_PX = 24; // half of what a finger needs
const STILL_PX = 6;

/** @param {Means} means */
export function listenToHands(means) {
  const { drawing, store, server, plans } = means;
  const ghosts = drawing.addOverlay("ghost-unit");
  let placing = false;
  let number = 0;

  const newest = new Newest(
    (/** @type {Omit<WayQuestion, "number">} */ question) => server.call("/way", { number: (number += 1), ...question }),
    (/** @type {WayAnswer} */ answer) => {
      if (answer.dropped) return;
      plans.show({ live: answer.routes ?? [], blocked: answer.no_way?.says ?? null });
      store.show({ says: answer.no_way ? `No way from here: ${answer.no_way.says}` : "" });
    },
  );

  drawing.onDown(() => (placing ? placingDrag() : null), 0);
  drawing.onDown((at, event) => {
    const held = store.ui().tool ? null : heldAt(store, drawing, at);
    return held && !isPicked(store, held.shape) ? endDrag(means, newest, held, event) : null;
  }, 10);

  /** @returns {Drag} */
  function placingDrag() {
    const draw = (/** @type {Point} */ at) => ghosts.replaceChildren(
      svg("circle", { r: 14, transform: `translate(${drawing.toScreen(at).join(" ")})` }));
    return {
      move: draw,
      up: (at) => {
        ghosts.replaceChildren();
        means.put([Math.round(at[0]), Math.round(at[1])]);
      },
      cancel: () => ghosts.replaceChildren(),
    };
  }

  return {
    /**
     * Wait for a tap that says where a unit sits, or no longer.
     * @param {boolean} waits
     */
    wait(waits) {
      placing = waits;
      drawing.sheet.classList.toggle("placing", waits);
      ghosts.replaceChildren();
    },
  };
}

/**
 * What a finger takes hold of: a place of the job, or an end of a run at a terminal of the vehicle.
 *
 * @typedef {{shape: Shape, ends: {run: number, end: "from"|"to"}[]}} Held
 * @param {import("./store.js").Store} store
 * @param {import("./plan_view.js").PlanView} drawing
 * @param {Point} at
 * @returns {Held|null}
 */
function heldAt(store, drawing, at) {
  const runs = edits.runsOf(store.state()?.data.job ?? null);
  const held = terminalsNear(store, drawing, at, "").map((shape) => ({ shape, ends: runs.flatMap((run, index) =>
    /** @type {const} */ (["from", "to"]).filter((end) => edits.namesIn(run[end]).includes(shape.name)).map((end) => ({ run: index, end }))) }));
  return held.find(({ shape, ends }) => shape.part === "place" || ends.length) ?? null;
}

/**
 * Whether a terminal of the vehicle is picked: then it is moved itself, not the run's end.
 * @param {import("./store.js").Store} store
 * @param {Shape} shape
 */
function isPicked(store, shape) {
  const { selected, selectedFile } = store.ui();
  return shape.part === "terminal" && selectedFile === shape.file && samePath(selected, shape.path);
}

/**
 * The terminals and places of the shown space within a finger's reach, the nearest first.
 * @param {import("./store.js").Store} store
 * @param {import("./plan_view.js").PlanView} drawing
 * @param {Point} at
 * @param {string} but a name that does not count
 * @returns {Shape[]}
 */
function terminalsNear(store, drawing, at, but) {
  const space = shownSpace(store.state(), store.ui())?.name;
  const away = (/** @type {Shape} */ shape) => Math.hypot(shape.points[0][0] - at[0], shape.points[0][1] - at[1]);
  return (store.state()?.shapes ?? [])
    .filter((shape) => (shape.part === "terminal" || shape.part === "place") && shape.space === space && shape.name !== but)
    .filter((shape) => shape.points.length && away(shape) <= REACH_PX * drawing.pixel())
    .sort((one, other) => away(one) - away(other));
}

/**
 * @param {Means} means
 * @param {Newest<Omit<WayQuestion, "number">, WayAnswer>} newest
 * @param {Held} held
 * @param {PointerEvent} event where it was taken
 * @returns {Drag}
 */
function endDrag({ drawing, store, server, plans }, newest, { shape, ends }, event) {
  const start = drawing.planOf(event);
  const offset = [shape.points[0][0] - start[0], shape.points[0][1] - start[1]];
  const space = shape.space ?? "";
  let moved = false;
  /** @type {Shape|null} */
  let over = null;

  const put = (/** @type {Point} */ at) => /** @type {Point} */ ([Math.round(at[0] + offset[0]), Math.round(at[1] + offset[1])]);
  const rest = () => {
    newest.forget();
    store.show({ says: "" });
    plans.show({ live: null, blocked: null, hint: null });
  };
  return {
    move(at) {
      moved ||= Math.hypot(at[0] - start[0], at[1] - start[1]) > STILL_PX * drawing.pixel();
      if (!moved) return;
      over = shape.part === "terminal" ? terminalsNear(store, drawing, at, shape.name)[0] ?? null : null;
      const place = over ? over.points[0] : put(at);
      plans.show({ hint: place });
      newest.put({ terminal: shape.name, space, at: place });
    },
    up(at) {
      if (!moved) {
        store.show({ selected: shape.path, selectedFile: shape.file });
        return;
      }
      newest.forget();
      plans.show({ hint: null });
      const job = store.state()?.data.job ?? null;
      const unit = store.state()?.files.profile.unit ?? "mm";
      if (shape.part === "place") void server.edit(edits.movePlace(job, shape.name, filePoint(put(at), unit)));
      else if (over && ends.length) void server.edit(edits.joinEnd(ends[0].run, ends[0].end, over.name));
      else {
        rest();
        store.show({ says: `${shape.name} belongs to the vehicle. Drop the end of the run on another terminal.` });
      }
    },
    cancel: rest,
  };
}
