/**
 * The job: what is fitted, where it sits, and its runs. Everything is typed or chosen here, or tapped on the drawing.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./job_edits.js").Run} Run
 * @typedef {import("./job_edits.js").Job} Job
 * @typedef {{key: string, name: string, says: string, space_kinds: string[], load_a: number|null, needs: string[]}} Fitted
 * @typedef {{key: string, name: string, space: string, isTapped: boolean}} Placing What waits for a tap on the drawing;
 *   `isTapped`: it was chosen by a finger or a mouse, not by the keyboard.
 * @typedef {{store: import("./store.js").Store, server: import("./server.js").Server,
 *   placing: (placing: Placing|null) => void}} Means `placing`: lets the drawing wait for a tap, or no longer.
 */
import { el } from "./dom.js";
import { field, pick } from "./job_fields.js";
import * as edits from "./job_edits.js";
import { Refused } from "./server.js";
import { lengthOf, onTape } from "./tape.js";

/** @type {[string, string][]} */
const DUTIES = [["continuous", "all the time"], ["intermittent", "now and then"]];

/** @param {Means} means */
export function createJobPanel(means) {
  const { store, server } = means;
  /** @type {Fitted[]} */
  let list = [];
  /** @type {Placing|null} */
  let placing = null;
  let fault = "";
  const runs = el("div", { class: "runs" });
  const room = el("div", { class: "fit" });
  const supply = el("div", { class: "supply" });
  const element = el("section", { class: "job-panel" }, room, runs, supply);

  /** @param {Placing|null} next */
  function place(next) {
    placing = next;
    fault = "";
    means.placing(next);
    drawFit();
  }

  /**
   * @param {Point} at In mm.
   * @param {number|null} height
   */
  async function put(at, height) {
    if (!placing) return;
    const what = { key: placing.key, space: placing.space, at, height_mm: height };
    try {
      store.take(await fitted(what));
      place(null);
    } catch (problem) {
      fault = problem instanceof Refused ? problem.message : "The program in the background does not answer. Try again.";
      drawFit();
    }
  }

  /**
   * Where something else was changed meanwhile, the same is asked once more of what stands now.
   * @param {Record<string, unknown>} what
   * @returns {Promise<State>}
   */
  async function fitted(what) {
    try {
      return await server.call("/fit", { ...what, revision: server.revision() });
    } catch (problem) {
      if (!(problem instanceof Refused) || problem.status !== 409) throw problem;
      store.take(problem.body.state);
      return server.call("/fit", { ...what, revision: server.revision() });
    }
  }

  function drawFit() {
    const state = store.state();
    const form = placing && state ? placingForm(state, placing, fault, { place, put }) : null;
    room.replaceChildren(el("h2", {}, "What is fitted"), form ?? fitList(state, list, place));
    if (form) /** @type {HTMLElement|null} */ (form.querySelector("select, input"))?.focus();
  }

  function drawRuns() {
    const state = store.state();
    const job = /** @type {Job|null} */ (state?.data.job ?? null);
    keepFocus(runs, () => runs.replaceChildren(...runList(means, state, job)));
    keepFocus(supply, () => supply.replaceChildren(...supplyForm(means, state, job)));
  }

  async function begin() {
    list = await server.call("/fit");
    drawFit();
  }

  store.subscribe((now, before) => {
    if (now.state === before.state) return;
    drawRuns();
    if (!placing) drawFit();
  });
  drawFit();
  drawRuns();
  return { element, begin, put, place, isPlacing: () => placing !== null };
}

/**
 * @param {State|null} state
 * @param {Fitted[]} list
 * @param {(placing: Placing) => void} place
 */
function fitList(state, list, place) {
  if (!state?.data.profile) return el("p", {}, "Measure a vehicle first; then choose here what is fitted to it.");
  const choices = el("div", { class: "fit-list" }, ...list.map((each) => el("button", {
    type: "button", class: "fit-choice", onclick: (/** @type {MouseEvent} */ event) =>
      place({ key: each.key, name: each.name, space: spaceFor(state, each), isTapped: event.detail > 0 }),
  }, el("strong", {}, each.name), el("span", {}, each.says))));
  if (edits.runsOf(state.data.job).length) {
    return el("details", { class: "run" }, el("summary", {}, "Fit something else"), choices);
  }
  return el("div", {}, el("p", {}, "Choose what you fit, then tap the drawing where it sits."), choices);
}

/**
 * The space that a thing usually sits in: the first of a kind that it is made for, else the first of all.
 * @param {State} state
 * @param {Fitted} fitted
 */
function spaceFor(state, fitted) {
  const spaces = state.shapes.filter((shape) => shape.part === "space");
  for (const kind of fitted.space_kinds) {
    const found = spaces.find((shape) => shape.kind === kind);
    if (found) return found.name;
  }
  return spaces[0]?.name ?? "";
}

/**
 * @param {State} state
 * @param {Placing} placing
 * @param {string} fault
 * @param {{place: (placing: Placing|null) => void, put: (at: Point, height: number|null) => void}} act
 */
function placingForm(state, placing, fault, act) {
  const unit = state.files.profile.unit ?? "mm";
  const spaces = [...new Set(state.shapes.filter((shape) => shape.part === "space").map((shape) => shape.name))];
  const x = field({ label: `Rearward (${unit})`, inputmode: "decimal" });
  const y = field({ label: `To the right (${unit})`, inputmode: "text" });
  const height = field({ label: `Height above the datum (${unit})`, help: "Left empty: as high as a loom lies there.", inputmode: "decimal" });
  const read = (/** @type {HTMLInputElement} */ input) => lengthOf(input.value, unit);
  const refused = el("p", { class: "refused", role: "alert" }, fault);
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    const [px, py, high] = [read(x.input), read(y.input), height.input.value.trim() ? read(height.input) : null];
    const bad = px === null ? x : py === null ? y : height.input.value.trim() && high === null ? height : null;
    if (bad || px === null || py === null) {
      refused.textContent = `Write a length, such as ${onTape(1650, unit)} ${unit}.`;
      bad?.input.focus();
    } else act.put([px, py], high);
  };
  return el("form", { class: "placing", onsubmit: submit },
    el("p", {}, el("strong", {}, placing.name), ": tap the drawing where it sits, or type it from the tape."),
    pick({ label: "It sits in", value: placing.space, options: spaces.map((name) => [name, name]),
      change: (space) => act.place({ ...placing, space, isTapped: false }) }),
    el("div", { class: "beside" }, x.element, y.element),
    el("p", { class: "quiet small" }, `From the datum, ${String(state.data.profile?.datum ?? "the front axle and the centre line")}; forward and to the left are negative.`),
    height.element, refused,
    el("div", { class: "buttons" }, el("button", { type: "submit", class: "deed" }, "Put it there"),
      el("button", { type: "button", onclick: () => act.place(null) }, "Cancel")));
}

/**
 * @param {Means} means
 * @param {State|null} state
 * @param {Job|null} job
 */
function runList(means, state, job) {
  if (!state || !job) return [];
  const runs = edits.runsOf(job);
  if (!runs.length) return [];
  return [el("h2", {}, "Runs"), ...runs.map((run, index) => runForm(means, state, job, run, index))];
}

/**
 * @param {Means} means
 * @param {State} state
 * @param {Job} job
 * @param {Run} run
 * @param {number} index
 */
function runForm({ server }, state, job, run, index) {
  const name = String(run.run ?? `run ${index + 1}`);
  const change = (/** @type {import("./job_edits.js").Edit[]} */ wanted) => void server.edit(wanted, null);
  const end = (/** @type {"from"|"to"} */ key, /** @type {string} */ label) => endPick(state, run, key, label, index,
    (terminal) => change(edits.joinEnd(index, key, terminal)));
  const conductors = edits.conductorsOf(run);
  return el("details", { class: "run", "data-key": `run ${index}` },
    el("summary", {}, el("strong", {}, name), el("span", {}, ` ${edits.namesIn(run.from).join(" or ")} to ${edits.namesIn(run.to).join(" or ")}`)),
    end("from", "From"), end("to", "To"),
    ...conductors.map((conductor, at) => conductorForm(change, ["runs", index, "conductors", at], conductor)),
    toldList(change, job, run, index),
    el("button", { type: "button", class: "wide", onclick: () => change(edits.removeRun(job, index)) }, `Take out ${name}`));
}

/**
 * Where a run begins or ends; where the planner may choose among several, they stand in one line.
 * @param {State} state
 * @param {Run} run
 * @param {"from"|"to"} key
 * @param {string} label
 * @param {number} index
 * @param {(terminal: string) => void} change
 */
function endPick(state, run, key, label, index, change) {
  const names = edits.namesIn(run[key]);
  const value = names.join(" or ");
  /** @type {[string, string][]} */
  const several = names.length > 1 ? [[value, value]] : [];
  return pick({ label, value, options: [...several, ...terminalOptions(state)], key: `${index} ${key}`, change });
}

/**
 * @param {State} state
 * @returns {[string, string][]}
 */
function terminalOptions(state) {
  const shapes = state.shapes.filter((shape) => shape.part === "terminal" || shape.part === "place");
  return shapes.map((shape) => [shape.name, shape.space ? `${shape.name} (${shape.space})` : shape.name]);
}

/**
 * @param {(wanted: import("./job_edits.js").Edit[]) => void} change
 * @param {(string|number)[]} path
 * @param {import("./job_edits.js").Conductor} conductor
 */
function conductorForm(change, path, conductor) {
  const said = (/** @type {string} */ key) => (conductor[key] === undefined ? "" : String(conductor[key]));
  const text = (/** @type {string} */ key, /** @type {string} */ label, /** @type {string} */ help = "") => field({
    label, help, value: said(key), key: `${path.join(" ")} ${key}`,
    change: (value) => value.trim() !== said(key) && change(edits.typed([...path, key], value, key in conductor)),
  }).element;
  const isLoaded = "load" in conductor;
  return el("fieldset", {}, el("legend", {}, said("name") || "conductor"),
    el("div", { class: "beside" }, "function" in conductor ? null : text("colour", "Colour"),
      isLoaded && text("load", "Load", "With its unit, such as 9 A or 60 W.")),
    isLoaded && pick({ label: "It is on", value: said("duty") || "continuous", options: DUTIES, key: `${path.join(" ")} duty`,
      change: (duty) => change([{ file: "job", op: "set", path: [...path, "duty"], value: duty }]) }));
}

/**
 * What the run was told to go by and not to use, each with a button that lets it go.
 * @param {(wanted: import("./job_edits.js").Edit[]) => void} change
 * @param {Job} job
 * @param {Run} run
 * @param {number} index
 */
function toldList(change, job, run, index) {
  const chip = (/** @type {string} */ name, /** @type {string} */ words) => el("li", {},
    el("span", {}, `${words} ${name}`),
    el("button", { type: "button", "aria-label": `Forget: ${words} ${name}`, onclick: () => change(edits.freely(job, index, name)) }, "Forget"));
  const chips = [
    ...edits.namesIn(run.via).map((name) => chip(name, "goes by")),
    ...edits.namesIn(run.avoid).map((name) => chip(name, "does not use")),
  ];
  return chips.length ? el("ul", { class: "told" }, ...chips) : null;
}

/**
 * @param {Means} means
 * @param {State|null} state
 * @param {Job|null} job
 */
function supplyForm({ server }, state, job) {
  const source = job?.source;
  if (!state || !job || typeof source !== "object" || source === null) return [];
  const held = /** @type {Record<string, unknown>} */ (source);
  const limits = /** @type {Record<string, unknown>} */ (typeof job.limits === "object" && job.limits ? job.limits : {});
  const change = (/** @type {import("./job_edits.js").Edit[]} */ wanted) => void server.edit(wanted, null);
  const positive = state.shapes.filter((shape) => (shape.part === "terminal" || shape.part === "place") && shape.pole === "positive");
  const at = String(held.at ?? "");
  const options = [...new Set([...positive.map((shape) => shape.name), at])].map((name) => /** @type {[string, string]} */ ([name, name]));
  const drop = String(limits.drop ?? "");
  return [el("details", { class: "run", "data-key": "supply" },
    el("summary", {}, el("strong", {}, "Supply"), el("span", {}, ` ${String(held.nominal ?? "")} from ${at}`)),
    pick({ label: "Fed from", value: at, options, key: "source at", change: (name) => change([{ file: "job", op: "set", path: ["source", "at"], value: name }]) }),
    field({ label: "Voltage lost at most", help: "A share, such as 3 %.", value: drop, key: "drop",
      change: (value) => value.trim() !== drop && change(edits.typed(["limits", "drop"], value, "drop" in limits)) }).element)];
}

/**
 * Draw a part of the page anew and leave open what was open and the focus where it was.
 * @param {HTMLElement} room
 * @param {() => void} draw
 */
function keepFocus(room, draw) {
  const open = [...room.querySelectorAll("details[open]")].map((each) => each.getAttribute("data-key"));
  const focused = document.activeElement;
  const key = focused && room.contains(focused) ? focused.getAttribute("data-key") : null;
  draw();
  for (const each of room.querySelectorAll("details")) each.open = open.includes(each.getAttribute("data-key"));
  if (!key) return;
  const fields = /** @type {HTMLElement[]} */ ([...room.querySelectorAll("input, select")]);
  fields.find((each) => each.getAttribute("data-key") === key)?.focus();
}
