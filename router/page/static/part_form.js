/**
 * The selected part with everything that can be said about it; without one, the list of parts in the shown space. Every
 * change is an edit at once.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Edit} Edit
 * @typedef {import("./fields.js").Field} Field
 * @typedef {import("./main.js").Page} Page
 */
import { el } from "./dom.js";
import { freeName, mirrored, movePoints, otherSideName, put, putHeight, remove, removePoint, samePath, addPoint, valueAt } from "./edits.js";
import { PART_WORDS, fieldsOf } from "./fields.js";
import { createInputs } from "./inputs.js";
import { between, middleOf } from "./geometry.js";
import { createMeasuredForm } from "./measured_form.js";
import { createPartsList } from "./parts_list.js";
import { createPointForm } from "./point_form.js";
import { faultsOf } from "./problems.js";
import { selectedShape, titleOf } from "./spaces.js";
import { inUnit, lengthOf, said } from "./tape.js";

/** @param {Page} page */
export function createPartForm(page) {
  const { store, server, plan, panels } = page;
  const element = el("div", {});
  const list = createPartsList(page);
  const inputs = createInputs(store, server);
  panels.add({ key: "part", title: "Parts", element, order: 10 });
  let drawn = "";
  const measured = createMeasuredForm(page, inputs, () => {
    drawn = "";
    draw();
  });

  const fileUnit = () => store.state()?.files.profile.unit ?? "mm";
  const rawOf = (/** @type {Shape} */ shape) => valueAt(store.state()?.data[shape.file], shape.path);

  function draw() {
    const { state, ui } = store.get();
    const shape = selectedShape(state, ui);
    measured.settle(shape);
    const now = JSON.stringify(shape ? [shape, rawOf(shape), ui.point, ui.unit, faultsOf(state, shape), page.lists?.where()] : ["list", state?.revision, ui.space, ui.unit]);
    if (now === drawn) return;
    drawn = now;
    if (!shape) return void list.drawInto(element);
    const focused = element.contains(document.activeElement) ? document.activeElement?.id : null;
    element.replaceChildren(...formOf(shape).filter((each) => each instanceof HTMLElement));
    document.getElementById(page.lists?.fieldOf(shape) ?? "")?.classList.add("wanted");
    if (focused) document.getElementById(focused)?.focus();
  }

  /** @param {Shape} shape */
  function formOf(shape) {
    const raw = rawOf(shape);
    const back = el("button", { type: "button", class: "bare back", onclick: () => store.show({ selected: null, point: null }) }, "‹ All parts");
    return [
      el("div", { class: "row between" }, back, shape.points.length > 0 && el("button", { type: "button", class: "bare", onclick: () => plan.goTo(middleOf(shape)) }, "Show it")),
      page.lists?.walk(shape),
      el("h2", {}, titleOf(shape)),
      el("p", { class: "quiet" }, PART_WORDS[shape.part] ?? shape.part),
      ...faultsOf(store.state(), shape).map((fault) => el("p", { class: fault.severity === "fault" ? "fault" : "advice" }, `${fault.what}${fault.cure ? ` ${fault.cure}` : ""}`)),
      el("div", { class: "fields" }, ...fieldsOf(shape, raw).map((field) => inputOf(shape, raw, field))),
      supportHeights(shape, raw),
      assumedBox(shape),
      pointsBox(shape, raw),
      deeds(shape, raw),
    ];
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   * @param {Field} field
   */
  function inputOf(shape, raw, field) {
    const now = valueAt(raw, field.keys);
    const save = (/** @type {unknown} */ value) => void server.edit(editsFor(shape, raw, field, value));
    return inputs.make(field, now, save, `part-${field.keys.join("-")}`);
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   * @param {Field} field
   * @param {any} value
   * @returns {Edit[]}
   */
  function editsFor(shape, raw, field, value) {
    if (field.keys[0] === "heights" && typeof field.keys[1] === "number" && value !== undefined) {
      const number = field.keys[1] === 0 ? 0 : 1;
      return putHeight(shape, number, value, raw, typedLength(`part-heights-${1 - number}`));
    }
    return put(shape, field.keys, value, raw);
  }

  /** @param {string} id */
  function typedLength(id) {
    const input = /** @type {HTMLInputElement|null} */ (element.querySelector(`#${id}`));
    const mm = lengthOf(input?.value ?? "", store.ui().unit);
    return mm === null ? null : inUnit(mm, store.ui().unit);
  }

  /**
   * A support that rises: one height for each of its points.
   * @param {Shape} shape
   * @param {any} raw
   */
  function supportHeights(shape, raw) {
    if (shape.part !== "support" || !Array.isArray(raw?.heights)) return null;
    return el("fieldset", { class: "fields" }, el("legend", {}, "Height at each point"), ...raw.heights.map((/** @type {any} */ each, /** @type {number} */ number) =>
      inputs.make({ keys: [], label: `Point ${number + 1}`, type: "length" }, each,
        (value) => void server.edit(put(shape, ["heights", number], value, raw)), `part-heights-${number}`)));
  }

  /** @param {Shape} shape */
  function assumedBox(shape) {
    const by = shape.assumed_mm;
    if (!by && (shape.part === "place" || shape.part === "exposed")) return null;
    const { unit } = store.ui();
    if (by) {
      return el("div", { class: "note" }, el("p", {}, `Nobody measured this yet: it may be off by ${said(by, unit)}, and the plan keeps that much more away.`),
        inputs.make({ keys: ["assumed"], label: "It may be off by", type: "length" }, inUnit(by, unit), (value) => void offBy(shape, value), "part-assumed"),
        !shape.partly && measured.drawn(shape, rawOf(shape)));
    }
    return el("button", { type: "button", class: "bare left", onclick: () => void server.edit(put(shape, ["assumed"], inUnit(50, fileUnit()), rawOf(shape))) }, "Mark as not measured yet");
  }

  /**
   * Nothing is off by nothing: only its readings make a part measured.
   * @param {Shape} shape
   * @param {unknown} value
   */
  function offBy(shape, value) {
    const mm = lengthOf(String(value), store.ui().unit);
    if (mm !== null && mm > 0) return void server.edit(put(shape, ["assumed"], value, rawOf(shape)));
    store.show({ says: "It may be off by more than nothing. If you measured it, give its readings." });
    drawn = "";
    draw();
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   */
  function pointsBox(shape, raw) {
    const { ui } = store.get();
    const chosen = shape.points.length === 1 ? 0 : ui.point;
    if (!shape.points.length || shape.partly) return shape.partly ? el("p", { class: "advice" }, "Some of its points cannot be read; put them right in the file first.") : null;
    const buttons = shape.points.map(([x, y], number) => el("button", {
      type: "button", class: "point", id: `part-point-${number}`, "aria-pressed": String(number === chosen),
      onclick: () => store.show({ point: number === ui.point ? null : number }),
    }, el("b", {}, String(number + 1)), ` ${said(x, ui.unit)} back, ${said(Math.abs(y), ui.unit)} ${y < 0 ? "left" : "right"}`));
    return el("details", { class: "points", open: chosen !== null }, el("summary", {}, shape.points.length === 1 ? "Its place" : `Its ${shape.points.length} points`),
      shape.points.length > 1 && el("div", { class: "list" }, ...buttons),
      chosen !== null && chosen < shape.points.length && typedPoint(shape, raw, chosen));
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   * @param {number} number
   */
  function typedPoint(shape, raw, number) {
    const form = createPointForm(page, {
      says: shape.points.length > 1 ? `Set point ${number + 1}` : "Set its place",
      last: () => shape.points[number - 1] ?? null,
      now: () => shape.points[number],
      take: (point) => void server.edit(movePoints(shape, shape.points.map((each, index) => (index === number ? point : each)), fileUnit(), raw)),
    });
    const fewer = removePoint(shape, number, fileUnit(), raw);
    const next = shape.points[(number + 1) % shape.points.length];
    const more = shape.points.length > 1 && shape.part !== "pass" && (shape.form === "area" || number + 1 < shape.points.length);
    return el("div", { class: "chosen-point" }, form.element, el("div", { class: "row" },
      more && el("button", { type: "button", onclick: () => { store.show({ point: number + 1 }); void server.edit(addPoint(shape, number, between(shape.points[number], next, 0.5), fileUnit(), raw)); } }, "Add a point after it"),
      fewer && el("button", { type: "button", onclick: () => { store.show({ point: null }); void server.edit(fewer); } }, "Take this point away")));
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   */
  function deeds(shape, raw) {
    const can_mirror = shape.part !== "space" && shape.part !== "step" && shape.file === "profile";
    return el("div", { class: "row" },
      shape.part === "member" && el("button", { type: "button", onclick: () => page.drawing?.begin("pass over") }, "Add a pass over it"),
      shape.part === "member" && el("button", { type: "button", onclick: () => page.drawing?.begin("pass through") }, "Add a hole in it"),
      can_mirror && el("button", { type: "button", onclick: () => void mirror(shape, raw) }, "Mirror to the other side"),
      el("button", { type: "button", class: "remove", onclick: () => removeIt(shape) }, "Remove"));
  }

  /**
   * @param {Shape} shape
   * @param {any} raw
   */
  async function mirror(shape, raw) {
    const names = (store.state()?.shapes ?? []).map((each) => each.name).filter(Boolean);
    const path = shape.path.slice(0, -1);
    await server.edit([{ file: shape.file, op: "add", path, value: mirrored(raw, freeName(otherSideName(shape.name), names)) }]);
    const made = store.state()?.shapes.filter((each) => each.path.length === shape.path.length && samePath(each.path.slice(0, -1), path)).at(-1);
    if (made) store.show({ selected: made.path, selectedFile: made.file, point: null });
  }

  /** @param {Shape} shape */
  function removeIt(shape) {
    store.show({ selected: null, point: null, says: `${titleOf(shape)} removed. Undo brings it back.` });
    void server.edit([remove(shape)]);
  }

  store.subscribe((now, before) => {
    draw();
    const shape = now.ui.selected !== before.ui.selected && !now.ui.tool && selectedShape(now.state, now.ui);
    if (!shape) return;
    panels.open("part");
    panels.toTop();
    if (shape.points.length) plan.reveal(middleOf(shape));
  });
  draw();
  return {
    focusFirst() {
      const first = /** @type {HTMLInputElement|null} */ (element.querySelector("input"));
      first?.focus();
      first?.select();
    },
    mirror() {
      const shape = selectedShape(store.state(), store.ui());
      if (shape) void mirror(shape, rawOf(shape));
    },
    remove() {
      const shape = selectedShape(store.state(), store.ui());
      if (shape) removeIt(shape);
    },
  };
}

/** @typedef {ReturnType<typeof createPartForm>} PartForm */
