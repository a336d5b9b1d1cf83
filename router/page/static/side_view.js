/**
 * Side view and cross-section under the plan, where heights are read and dragged. What has no heights is drawn from floor to
 * roof and listed, so that no height is forgotten silently.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./main.js").Page} Page
 * @typedef {import("./side_slices.js").Slice} Slice
 */
import { byId, el, svg } from "./dom.js";
import { putHeight, set, valueAt } from "./edits.js";
import { middleOf } from "./geometry.js";
import { HAZARDS } from "./hazards.js";
import { crossSlices, heightsOf, rangeOf, sideSlices, withoutHeights } from "./side_slices.js";
import { liesIn, seenFrom, selectedShape, shownSpace, titleOf } from "./spaces.js";
import { inUnit, lengthOf, onTape, said } from "./tape.js";
import { boundsOf } from "./view.js";

const [HEIGHT, MARGIN] = [180, 30]; // px

/** @param {Page} page */
export function createSideView(page) {
  const { store, server, plan } = page;
  const host = byId("side");
  const cutLine = plan.addOverlay("cut");
  let station = 0;
  let is_open = window.innerHeight > 700 && window.innerWidth > 1000;
  /** @type {{shape: Shape, heights: [number, number]}|null} */
  let draft = null;

  const side = svg("svg", { class: "heights", role: "img", "aria-label": "Side view: heights above the ground along the vehicle" });
  const across = svg("svg", { class: "heights", role: "img", "aria-label": "Cross-section: heights across the vehicle at the cut" });
  const toggle = el("button", { type: "button", class: "bare", "aria-expanded": String(is_open), onclick: () => { is_open = !is_open; draw(); } });
  const cutInput = el("input", { id: "cut-at", autocomplete: "off", onchange: () => cutTo(lengthOf(cutInput.value, store.ui().unit)) });
  const cutBox = el("div", { class: "cut" }, el("label", { for: "cut-at" }, "Cut at"), cutInput, el("span", { class: "unit" }));
  const missing = el("div", { class: "no-heights" });
  const views = el("div", { class: "views" }, el("figure", {}, el("figcaption", {}, "From the side"), side), el("figure", {}, el("figcaption", {}, "Across, at the cut"), across));
  host.append(el("div", { class: "row between side-head" }, toggle, cutBox), views, missing);

  /** @param {number|null} mm */
  function cutTo(mm) {
    if (mm !== null) station = mm;
    draw();
  }

  function shapes() {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    return (state?.shapes ?? []).filter((shape) => space && liesIn(shape, space))
      .map((shape) => (draft && draft.shape === shape ? { ...shape, heights_mm: draft.heights } : shape));
  }

  function draw() {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    const all = shapes();
    const bounds = space && boundsOf(space.points);
    if (bounds && (station < bounds.low[0] || station > bounds.high[0])) station = Math.round((bounds.low[0] + bounds.high[0]) / 20) * 10;
    const lost = withoutHeights(all);
    host.hidden = !space;
    views.hidden = cutBox.hidden = !is_open;
    toggle.textContent = `${is_open ? "▾" : "▸"} Heights${lost.length ? `: ${lost.length} missing` : ""}`;
    toggle.setAttribute("aria-expanded", String(is_open));
    missing.hidden = !is_open || !lost.length;
    missing.replaceChildren(el("span", { class: "task-words" }, "No heights yet: "), ...lost.map((shape) => el("button", { type: "button", class: "chip", onclick: () => select(shape) }, titleOf(shape))));
    if (document.activeElement !== cutInput) cutInput.value = onTape(station, ui.unit);
    const unit = cutBox.querySelector(".unit");
    if (unit) unit.textContent = ui.unit;
    drawCutLine();
    if (!is_open || !bounds || !space) return;
    const range = rangeOf(all);
    const mirrored = seenFrom(space, ui) === "above";
    drawInto(side, sideSlices(all), bounds.low[0], bounds.high[0], range, false);
    drawInto(across, crossSlices(all, station), bounds.low[1], bounds.high[1], range, mirrored);
  }

  /**
   * @param {SVGSVGElement} into
   * @param {Slice[]} slices
   * @param {number} from
   * @param {number} to
   * @param {[number, number]} range
   * @param {boolean} flip
   */
  function drawInto(into, slices, from, to, range, flip) {
    const width = into.clientWidth || 400;
    const [x_scale, y_scale] = [(width - 2 * MARGIN) / (to - from || 1), (HEIGHT - MARGIN) / (range[1] - range[0] || 1)];
    const px = (/** @type {number} */ mm) => MARGIN + (flip ? to - mm : mm - from) * x_scale;
    const py = (/** @type {number} */ mm) => HEIGHT - 14 - (mm - range[0]) * y_scale;
    const now = selectedShape(store.state(), store.ui());
    const is_selected = (/** @type {Slice} */ slice) => slice.shape === now || draft?.shape === now && slice.shape.path === now?.path;
    into.setAttribute("viewBox", `0 0 ${width} ${HEIGHT}`);
    into.replaceChildren(...scale(width, range, py));
    for (const slice of [...slices].sort((one, other) => Number(is_selected(one)) - Number(is_selected(other)))) {
      into.append(box(slice, px, py, is_selected(slice)));
    }
    const chosen = slices.find(is_selected);
    if (chosen && now && heightsOf(now)) into.append(...handles(chosen, now, px, py, y_scale, range));
  }

  /**
   * @param {number} width
   * @param {[number, number]} range
   * @param {(mm: number) => number} py
   */
  function scale(width, [least, most], py) {
    const step = store.ui().unit === "in" ? 254 : 200;
    const lines = [];
    for (let mm = Math.ceil(least / step) * step; mm <= most; mm += step) {
      lines.push(svg("path", { class: mm === 0 ? "ground" : "rule", d: `M${MARGIN} ${py(mm)}H${width - 6}` }), svg("text", { x: MARGIN - 4, y: py(mm), class: "rule-word" }, onTape(mm, store.ui().unit)));
    }
    return lines;
  }

  /**
   * @param {Slice} slice
   * @param {(mm: number) => number} px
   * @param {(mm: number) => number} py
   * @param {boolean} selected
   */
  function box({ shape, from, to, low, high, known }, px, py, selected) {
    const [x, right] = [px(from), px(to)].sort((a, b) => a - b);
    const style = HAZARDS[shape.hazard ?? ""];
    const rect = svg("rect", {
      class: `slice ${shape.part}${known ? "" : " unknown"}${selected ? " selected" : ""}${shape.assumed_mm ? " assumed" : ""}`,
      x, y: py(high), width: Math.max(3, right - x), height: Math.max(3, py(low) - py(high)), onclick: () => select(shape),
    }, svg("title", {}, `${titleOf(shape)}: ${known ? `${said(low, store.ui().unit)} to ${said(high, store.ui().unit)}` : "no heights"}`));
    if (style) {
      rect.style.setProperty("--colour", style.colour);
      rect.style.setProperty("--outline", style.outline);
    }
    return rect;
  }

  /**
   * @param {Slice} slice
   * @param {Shape} shape The part as the server has it.
   * @param {(mm: number) => number} px
   * @param {(mm: number) => number} py
   * @param {number} y_scale
   * @param {[number, number]} range
   */
  function handles(slice, shape, px, py, y_scale, range) {
    const middle = (px(slice.from) + px(slice.to)) / 2;
    const ends = slice.shape.heights_mm ? /** @type {(0|1)[]} */ ([0, 1]) : /** @type {(0|1)[]} */ ([0]);
    return ends.flatMap((end) => {
      const y = py(end ? slice.high : slice.low);
      const grip = svg("circle", { class: "handle-hit", cx: middle, cy: y + (end ? -10 : 10) * (ends.length - 1), r: 26 });
      grip.addEventListener("pointerdown", (event) => drag(event, grip, shape, end, y_scale, range));
      return [svg("path", { class: "height-handle", d: `M${middle - 12} ${y}h24` }), svg("circle", { class: "height-knob", cx: middle, cy: y, r: 8 }),
        svg("text", { class: "height-word", x: middle + 18, y: y + (end ? -6 : 8) }, said(end ? slice.high : slice.low, store.ui().unit)), grip];
    });
  }

  /**
   * @param {PointerEvent} start
   * @param {SVGElement} grip
   * @param {Shape} shape
   * @param {0|1} end
   * @param {number} y_scale
   * @param {[number, number]} range
   */
  function drag(start, grip, shape, end, y_scale, range) {
    start.preventDefault();
    const before = heightsOf(shape);
    if (!before) return;
    const is_pair = !!shape.heights_mm;
    const move = (/** @type {PointerEvent} */ event) => {
      const mm = Math.round((before[end] + (start.clientY - event.clientY) / y_scale) / 5) * 5;
      /** @type {[number, number]} */
      const heights = is_pair ? [before[0], before[1]] : [mm, mm];
      if (is_pair) heights[end] = end ? Math.max(mm, before[0]) : Math.min(Math.max(mm, range[0]), before[1]);
      draft = { shape, heights };
      draw();
    };
    const up = () => {
      window.removeEventListener("pointermove", move);
      window.removeEventListener("pointerup", up);
      window.removeEventListener("pointercancel", up);
      const done = draft;
      draft = null;
      if (done) void server.edit(heightEdits(shape, end, done.heights));
      draw();
    };
    window.addEventListener("pointermove", move);
    window.addEventListener("pointerup", up);
    window.addEventListener("pointercancel", up);
    grip.setAttribute("pointer-events", "none");
  }

  /**
   * @param {Shape} shape
   * @param {0|1} end
   * @param {[number, number]} heights
   */
  function heightEdits(shape, end, heights) {
    const { unit } = store.ui();
    const raw = valueAt(store.state()?.data[shape.file], shape.path);
    const text = inUnit(heights[end], unit);
    return shape.heights_mm ? putHeight(shape, end, text, raw) : [set(shape, [...shape.path, "height"], text)];
  }

  /** @param {Shape} shape */
  function select(shape) {
    store.show({ selected: shape.path, selectedFile: shape.file, point: null });
  }

  function drawCutLine() {
    const { state, ui } = store.get();
    const bounds = boundsOf(shownSpace(state, ui)?.points ?? []);
    cutLine.replaceChildren();
    if (!is_open || !bounds) return;
    const [a, b] = [plan.toScreen([station, bounds.low[1] - 60]), plan.toScreen([station, bounds.high[1] + 60])];
    cutLine.append(svg("path", { d: `M${a.join(" ")}L${b.join(" ")}` }), svg("circle", { cx: a[0], cy: a[1], r: 8 }), svg("circle", { cx: b[0], cy: b[1], r: 8 }));
  }

  plan.onDown((at, event) => {
    const bounds = boundsOf(shownSpace(store.state(), store.ui())?.points ?? []);
    if (!is_open || !bounds || store.ui().tool) return null;
    const ends = [plan.toScreen([station, bounds.low[1] - 60]), plan.toScreen([station, bounds.high[1] + 60])];
    const place = plan.placeOf(event);
    if (!ends.some((end) => Math.hypot(end[0] - place[0], end[1] - place[1]) <= 24)) return null;
    const move = (/** @type {import("./types.js").Point} */ to) => cutTo(Math.round(to[0] / 5) * 5);
    move(at);
    return { move, up: move, cancel: () => {} };
  }, 30);

  plan.onView(drawCutLine);
  new ResizeObserver(draw).observe(views);
  store.subscribe((now, before) => {
    const shape = selectedShape(now.state, now.ui);
    if (shape && now.ui.selected !== before.ui.selected && shape.part !== "space") station = Math.round(middleOf(shape)[0]);
    if (now.state !== before.state || now.ui !== before.ui) draw();
  });
  draw();
}
