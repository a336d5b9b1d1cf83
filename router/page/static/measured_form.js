/**
 * "I measured it": a box for each reading of a part that was assumed. Nothing counts as measured until all are typed; then
 * they are written, and the part is no longer assumed, in one step.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./readings.js").Reading} Reading
 * @typedef {import("./main.js").Page} Page
 */
import { el } from "./dom.js";
import { samePath } from "./edits.js";
import { measuredEdits, readingsOf } from "./readings.js";
import { lengthOf, said } from "./tape.js";

/**
 * @param {Page} page
 * @param {ReturnType<import("./inputs.js").createInputs>} inputs
 * @param {() => void} redraw
 */
export function createMeasuredForm({ store, server }, inputs, redraw) {
  /** @type {Shape|null} */
  let measuring = null;
  /** What is typed, by reading: it outlives a form that is drawn anew. @type {Map<string, string>} */
  const typed = new Map();
  const fileUnit = () => store.state()?.files.profile.unit ?? "mm";

  /** @param {Shape|null} shape */
  function begin(shape) {
    measuring = shape;
    typed.clear();
    redraw();
  }

  const isOpen = (/** @type {Shape} */ shape) => !!measuring && measuring.file === shape.file && samePath(measuring.path, shape.path) && measuring.name === shape.name;

  /**
   * @param {Shape} shape
   * @param {any} raw
   * @returns {HTMLElement}
   */
  function drawn(shape, raw) {
    if (!isOpen(shape)) return el("button", { type: "button", id: "measure-begin", onclick: () => { begin(shape); document.querySelector(/** @type {any} */ ("#measured input"))?.focus(); } }, "I measured it");
    const readings = readingsOf(shape, raw, fileUnit());
    const fault = el("p", { class: "fault", role: "alert" });
    const boxes = readings.map((reading) => box(reading));
    return el("form", { class: "measured", id: "measured", novalidate: true, onsubmit: (/** @type {Event} */ event) => {
      event.preventDefault();
      void take(shape, raw, readings, fault);
    } },
      el("p", {}, "Type what the tape reads. It counts as measured once every box is filled; where the tape reads as drawn, type that."),
      el("div", { class: "fields" }, ...boxes), fault,
      el("div", { class: "row" }, el("button", { type: "submit", class: "deed" }, "Take these readings"),
        el("button", { type: "button", onclick: () => begin(null) }, "Not now")));
  }

  /** @param {Reading} reading */
  function box({ key, label, drawn_mm: drawnAt }) {
    const { unit } = store.ui();
    const id = `measured-${key}`;
    const input = el("input", { id, autocomplete: "off", value: typed.get(key) ?? "", "aria-describedby": `${id}-drawn` });
    input.addEventListener("input", () => void typed.set(key, input.value));
    return el("div", { class: "field" }, el("label", { for: id }, `${label}, ${unit}`), input,
      el("p", { class: "small quiet", id: `${id}-drawn` }, drawnAt === null ? "drawn at: not readable" : `drawn at ${said(drawnAt, unit)}`));
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   * @param {Reading[]} readings
   * @param {HTMLElement} fault
   */
  async function take(shape, raw, readings, fault) {
    const { unit } = store.ui();
    /** @type {Map<string, number>} */
    const read = new Map();
    const missing = readings.filter(({ key }) => !typed.get(key)?.trim());
    const complain = (/** @type {Reading} */ { key }, /** @type {string} */ what) => {
      fault.textContent = what;
      document.getElementById(`measured-${key}`)?.focus();
    };
    if (missing.length) return complain(missing[0], `${missing.length} of ${readings.length} readings are missing. Without a reading nothing is measured.`);
    for (const reading of readings) {
      const told = await inputs.read({ keys: [], label: "", type: "length" }, /** @type {string} */ (typed.get(reading.key)).trim());
      const mm = told.fault ? null : lengthOf(String(told.value), unit);
      if (mm === null) return complain(reading, `${reading.label}: ${told.fault}`);
      read.set(reading.key, mm);
    }
    const edits = measuredEdits(shape, raw, read, { file: fileUnit(), typed: unit });
    if (edits) await server.edit(edits);
  }

  return {
    drawn,
    /**
     * The part that is shown now: another one, or one that is measured, closes the boxes.
     * @param {Shape|null} shape
     */
    settle(shape) {
      if (!measuring || (shape && shape.assumed_mm && isOpen(shape))) return;
      measuring = null;
      typed.clear();
    },
  };
}
