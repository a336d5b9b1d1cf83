/**
 * From nothing to a vehicle: choose a type, then answer its measurements one at a time, each with a picture of where the tape
 * goes. What is left empty is assumed and can be measured later.
 *
 * @typedef {import("./types.js").VehicleType} VehicleType
 * @typedef {import("./main.js").Page} Page
 */
import { blankProfile } from "./blank.js";
import { openDialog } from "./dialog.js";
import { el, picture } from "./dom.js";
import { Refused } from "./server.js";
import { lengthOf, said } from "./tape.js";

const KEPT = "answers typed so far";
const NEEDED = "Needed: without it no way can be told from a wrong one.";

/** @param {Page} page */
export function createStart({ store, server }) {
  /** @type {VehicleType[]} */
  let types = [];
  /** @type {{key: string, name: string}[]} */
  let library = [];
  /** @type {{type: string|null, name: string, answers: Record<string, string>}} */
  let given = { type: null, name: "", answers: {} };
  /** @type {ReturnType<typeof openDialog>|null} */
  let dialog = null;
  /** @type {Map<string, string>} */
  let faults = new Map();

  async function open() {
    [types, library] = await Promise.all([server.types(), server.library()]);
    given = { ...given, ...JSON.parse(localStorage.getItem(KEPT) ?? "{}") };
    const type = types.find((each) => each.key === given.type);
    if (type && Object.keys(given.answers).length) show(type, firstEmpty(type));
    else chooseType();
  }

  const keep = () => localStorage.setItem(KEPT, JSON.stringify(given));

  /** @param {VehicleType} type */
  function firstEmpty(type) {
    const number = type.measurements.findIndex((each) => !(each.name in given.answers));
    return number < 0 ? type.measurements.length : number;
  }

  /**
   * @param {string} title
   * @param {(HTMLElement|false|null)[]} content
   */
  function page(title, content) {
    const there = store.state()?.files.profile.there ?? false;
    dialog = openDialog(title, [el("div", { class: "start" }, ...content.filter((each) => each instanceof HTMLElement))], { closes: there });
    return dialog;
  }

  function chooseType() {
    page("Which vehicle is on the stands?", [
      el("p", { class: "quiet" }, "Choose the one that is most like it. About a dozen tape measurements then make it yours."),
      el("div", { class: "types" }, ...types.map((type) => el("button", { type: "button", class: "type", onclick: () => choose(type) },
        pictureOf(type.picture), el("b", {}, type.name), el("span", { class: "small quiet" }, type.says))),
      el("button", { type: "button", class: "type", onclick: () => name(null) }, el("b", {}, "None of these"), el("span", { class: "small quiet" }, "Begin with an empty underfloor and draw everything yourself."))),
      el("h3", {}, "Or a vehicle of the library"),
      el("p", { class: "quiet" }, "A copy of it is put into this folder, to be changed as you like."),
      el("div", { class: "row" }, ...library.map((each) => el("button", { type: "button", onclick: () => void copy(each.key) }, each.name))),
    ]);
  }

  /** @param {string} key */
  async function copy(key) {
    await server.copy(key);
    if (store.state()?.files.profile.there) dialog?.close();
  }

  /** @param {string} text */
  function pictureOf(text) {
    return el("span", { class: "picture", "aria-hidden": "true" }, text ? picture(text) : null);
  }

  /** @param {VehicleType} type */
  function choose(type) {
    if (given.type !== type.key) given = { ...given, type: type.key, answers: {} };
    keep();
    name(type);
  }

  /** @param {VehicleType|null} type Null: everything is drawn by hand. */
  function name(type) {
    const input = el("input", { id: "start-name", value: given.name, autocomplete: "off", placeholder: type?.name ?? "My vehicle" });
    const unit = (/** @type {"mm"|"in"} */ key, /** @type {string} */ words) => {
      const box = el("input", { type: "radio", name: "unit", id: `unit-${key}`, onchange: () => store.show({ unit: key }) });
      box.checked = store.ui().unit === key;
      return el("label", { class: "flag", for: `unit-${key}` }, box, words);
    };
    const form = el("form", { class: "panel-like", onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      given = { ...given, name: input.value.trim() };
      keep();
      if (type) show(type, firstEmpty(type));
      else void begin();
    } }, el("div", { class: "field" }, el("label", { for: "start-name" }, "What do you call it? Model, year, plate: as you like"), input),
    el("fieldset", { class: "fields" }, el("legend", {}, "What does your tape read?"), unit("mm", "Millimetres"), unit("in", "Inches")),
    el("div", { class: "row" }, el("button", { type: "button", onclick: chooseType }, "‹ Back"), el("button", { type: "submit", class: "deed" }, type ? "Begin measuring ›" : "Begin drawing ›")));
    page(type?.name ?? "Draw it yourself", [form]);
    input.focus();
  }

  async function begin() {
    const unit = store.ui().unit === "in" ? "in" : "mm";
    const value = blankProfile(given.name || "My vehicle", unit, new Date().toISOString().slice(0, 10));
    await server.edit([{ file: "profile", op: "text", path: [], value }]);
    if (store.state()?.files.profile.there) dialog?.close();
  }

  /**
   * @param {VehicleType} type
   * @param {number} number
   */
  function show(type, number) {
    const measurement = type.measurements[number];
    if (!measurement) return summary(type);
    const { unit } = store.ui();
    const id = "start-answer";
    const input = el("input", { id, value: given.answers[measurement.name] ?? "", autocomplete: "off", "aria-describedby": "start-usual start-needed start-fault" });
    const fault = el("p", { class: "fault", id: "start-fault", role: "alert" }, faults.get(measurement.name) ?? "");
    const needed = el("p", { class: "task-words", id: "start-needed" }, measurement.needed ? NEEDED : "");
    needed.hidden = !measurement.needed || input.value.trim() !== "";
    input.addEventListener("input", () => { needed.hidden = !measurement.needed || input.value.trim() !== ""; });
    const form = el("form", { class: "measurement", novalidate: true, onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      void answer(type, number, input, fault);
    } },
    pictureOf(measurement.picture),
    el("div", { class: "ask" },
      el("p", { class: "quiet" }, `${number + 1} of ${type.measurements.length}`),
      el("label", { for: id, class: "question" }, measurement.ask),
      el("p", {}, `From ${measurement.from} to ${measurement.to}.`),
      el("div", { class: "tape" }, input, el("span", { class: "unit" }, unit)),
      el("p", { class: "small quiet", id: "start-usual" }, `Usually about ${said(measurement.usual_mm, unit)}. Left empty, that is assumed until somebody measures it.`),
      needed,
      fault,
      el("div", { class: "row" },
        el("button", { type: "button", onclick: () => (number ? show(type, number - 1) : name(type)) }, "‹ Back"),
        el("button", { type: "button", onclick: () => { set(measurement.name, ""); show(type, number + 1); } }, "Not now"),
        el("button", { type: "submit", class: "deed" }, "Next ›"))));
    page(type.name, [progress(type, number), form]);
    input.focus();
    input.select();
  }

  /**
   * @param {VehicleType} type
   * @param {number} number
   */
  function progress(type, number) {
    const done = el("span", { class: "done" });
    done.style.width = `${(100 * number) / type.measurements.length}%`;
    return el("div", { class: "progress", "aria-hidden": "true" }, done);
  }

  /**
   * @param {string} key
   * @param {string} text
   */
  function set(key, text) {
    given = { ...given, answers: { ...given.answers, [key]: text } };
    faults.delete(key);
    keep();
  }

  /**
   * @param {VehicleType} type
   * @param {number} number
   * @param {HTMLInputElement} input
   * @param {HTMLElement} fault
   */
  async function answer(type, number, input, fault) {
    const { name: key, least_mm, most_mm } = type.measurements[number];
    const { unit } = store.ui();
    const text = input.value.trim();
    const words = text && (await whatIsWrong(text, unit, least_mm, most_mm));
    fault.textContent = words;
    if (words) return input.select();
    set(key, text && /[a-z"'″′]\s*$/i.test(text) ? text : text && `${text} ${unit}`);
    show(type, number + 1);
  }

  /**
   * @param {string} text
   * @param {string} unit
   * @param {number} least_mm
   * @param {number} most_mm
   */
  async function whatIsWrong(text, unit, least_mm, most_mm) {
    let mm = lengthOf(text, unit);
    try {
      mm ??= (await server.tape(text, unit)).mm;
    } catch (fault) {
      return fault instanceof Error ? fault.message : String(fault);
    }
    if (mm >= least_mm && mm <= most_mm) return "";
    return `${said(mm, unit)} is out of what such a vehicle has: ${said(least_mm, unit)} to ${said(most_mm, unit)}. Look at the picture and measure again.`;
  }

  /** @param {VehicleType} type */
  function summary(type) {
    const { unit } = store.ui();
    const empty = type.measurements.filter((each) => !given.answers[each.name]).length;
    const rows = type.measurements.map((each, number) => el("button", { type: "button", class: "item", onclick: () => show(type, number) },
      el("span", { class: "grow" }, each.ask, faults.has(each.name) && el("span", { class: "fault block" }, faults.get(each.name) ?? "")),
      given.answers[each.name] ? el("b", {}, given.answers[each.name]) : el("span", { class: "task-words" }, `${each.needed ? "needed, " : ""}assumed ${said(each.usual_mm, unit)}`)));
    const fault = el("p", { class: "fault", role: "alert" });
    const needed = type.measurements.filter((each) => each.needed && !given.answers[each.name]).length;
    page(type.name, [
      el("p", {}, empty ? `${empty} of ${type.measurements.length} are assumed for now. They are drawn in broken lines and listed as still to measure.` : "Everything is measured."),
      needed > 0 && el("p", { class: "task-words", id: "start-needed" }, `${needed} of them ${needed === 1 ? "is" : "are"} needed: without ${needed === 1 ? "it" : "them"} no way can be told from a wrong one. You may go on; ${needed === 1 ? "it is" : "they are"} then first in To do.`),
      el("div", { class: "list" }, ...rows), fault,
      el("div", { class: "row" }, el("button", { type: "button", onclick: chooseType }, "Another type"), el("button", { type: "button", class: "deed", onclick: () => void make(type, fault) }, "Draw the vehicle")),
    ]);
  }

  /**
   * @param {VehicleType} type
   * @param {HTMLElement} fault
   */
  async function make(type, fault) {
    try {
      const answers = Object.fromEntries(type.measurements.map((each) => [each.name, given.answers[each.name] ?? ""]));
      await server.start(type.key, answers, given.name || type.name);
      localStorage.removeItem(KEPT);
      given = { type: null, name: "", answers: {} };
      dialog?.close();
    } catch (refused) {
      if (!(refused instanceof Refused)) return void (fault.textContent = "The program in the background does not answer. Your answers are kept; try again.");
      faults = new Map(refused.faults.flatMap((each) => (each.name ? [[each.name, each.what]] : [])));
      const number = type.measurements.findIndex((each) => faults.has(each.name));
      if (number >= 0) show(type, number);
      else fault.textContent = refused.message;
    }
  }

  return { open };
}

/** @typedef {ReturnType<typeof createStart>} Start */
