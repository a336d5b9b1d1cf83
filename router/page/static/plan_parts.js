/**
 * The parts of the shown space, drawn on the plan in the manner of the map: hazards by colour, hatch and letter, supports
 * by what they carry, and broken lines round what nobody has measured yet.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./plan_view.js").PlanView} PlanView
 * @typedef {import("./store.js").Store} Store
 */
import { keptChildren, svg } from "./dom.js";
import { footprint, middleOf } from "./geometry.js";
import { HAZARDS, tagsOf } from "./hazards.js";
import { labelOf, tidy } from "./plan_words.js";
import { liesIn, seenFrom, selectedShape, shownSpace, spacesOf, titleOf } from "./spaces.js";
import { boundsOf } from "./view.js";
import { valueAt } from "./edits.js";

const ORDER = ["space", "step", "panel", "exposed", "cover", "member", "pass", "keep-out", "support", "opening", "terminal", "place"];
const PAPER_PX = 5; // pixels for a mm of the map's paper

/**
 * @param {PlanView} plan
 * @param {Store} store
 */
export function drawParts(plan, store) {
  const ghosts = plan.addLayer("ghosts");
  const parts = plan.addLayer("parts");
  const words = plan.addLayer("words");
  const patterns = Object.entries(HAZARDS).flatMap(([hazard, style]) => makePatterns(plan.defs, hazard, style));
  /** @type {WeakMap<Element, Shape>} */
  const shapeOf = new WeakMap();
  const keptParts = keptChildren(parts);
  const keptWords = keptChildren(words);
  let shown = "";

  function draw() {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    ghosts.replaceChildren();
    if (!state || !space) {
      parts.replaceChildren();
      words.replaceChildren();
      return void (shown = "");
    }
    for (const other of spacesOf(state)) if (other !== space) ghosts.append(svg("path", { class: "ghost", d: closed(other.points) }));
    const tags = tagsOf(state.shapes);
    const selected = selectedShape(state, ui);
    const seen = inOrder(state.shapes, space);
    const groups = keptParts(seen.map((shape) => {
      const raw = valueAt(state.data[shape.file], shape.path);
      return { key: JSON.stringify([shape, raw, shape === selected]), make: () => drawn(shape, raw, shape === selected) };
    }));
    groups.forEach((group, number) => shapeOf.set(group, seen[number]));
    keptWords(seen.filter(isNamed).map((shape) => {
      const tag = tags.get(shape);
      return { key: JSON.stringify([shape, tag, shape === selected]), make: () => named(shape, tag, shape === selected) };
    }));
    const from = seenFrom(space, ui);
    const look = `${space.name} ${from}`;
    const bounds = boundsOf(space.points);
    if (look !== shown && bounds) plan.show(bounds, from);
    shown = look;
    scaleWords();
  }

  function scaleWords() {
    const view = plan.view();
    const [by, flip] = [1 / view.scale, view.seenFrom === "above"];
    const all = /** @type {SVGTextElement[]} */ ([...words.querySelectorAll("text")]);
    for (const word of all) {
      const turn = view.turned ? `rotate(-90) scale(${by} ${by})` : `scale(${by} ${by})`;
      const transform = `translate(${word.dataset.at}) scale(1 ${flip ? -1 : 1}) ${turn}`;
      if (word.getAttribute("transform") !== transform) word.setAttribute("transform", transform);
    }
    tidy(all.map((word) => labelOf(word, plan.toScreen(placeOf(word)))), plan.size().width);
    for (const pattern of patterns) {
      const scale = (PAPER_PX * by).toFixed(4);
      const transform = `scale(${scale} ${flip ? "-" : ""}${scale}) rotate(${view.turned ? -90 : 0}) rotate(${-Number(pattern.dataset.angle)})`;
      if (pattern.getAttribute("patternTransform") !== transform) pattern.setAttribute("patternTransform", transform);
    }
  }

  /** @param {SVGTextElement} word */
  function placeOf(word) {
    const [x, y] = (word.dataset.at ?? "").split(" ").map(Number);
    return /** @type {Point} */ ([x, y]);
  }

  plan.onView((_, zoomed) => {
    if (zoomed) scaleWords();
  });
  store.subscribe((now, before) => {
    const keys = /** @type {const} */ (["space", "seenFrom", "selected", "selectedFile", "hidden"]);
    if (now.state !== before.state || keys.some((key) => now.ui[key] !== before.ui[key])) draw();
  });

  /**
   * Pick what is under a pointer; once more on the same place picks what lies below it.
   * @param {Point} _at
   * @param {MouseEvent} event
   */
  function pick(_at, event) {
    if (store.ui().tool) return;
    const found = shapesAt(event).filter((shape) => shape.part !== "space");
    const now = found.findIndex((shape) => shape === selectedShape(store.state(), store.ui()));
    const shape = found[(now + 1) % Math.max(1, found.length)];
    store.show({ selected: shape?.path ?? null, selectedFile: shape?.file ?? "profile", point: null, says: "" });
  }

  plan.onTap(pick);

  /**
   * The parts under a pointer, the smallest first.
   * @param {MouseEvent} event
   */
  function shapesAt({ clientX, clientY }) {
    const met = document.elementsFromPoint(clientX, clientY).map((each) => each.closest(".part"))
      .filter((each) => each !== null && parts.contains(each));
    const found = [...new Set(met)].map((each) => shapeOf.get(/** @type {Element} */ (each))).filter((each) => each !== undefined);
    return found.sort((one, other) => extent(one) - extent(other));
  }

  return { draw, pick, shapesAt };
}

/** @param {Shape} shape */
const isNamed = (shape) => shape.points.length > 0 && !["space", "step", "pass"].includes(shape.part);

/**
 * @param {Shape} shape
 * @param {string|undefined} tag
 * @param {boolean} selected
 */
function named(shape, tag, selected) {
  const [x, y] = middleOf(shape);
  const text = svg("text", { class: `word ${shape.part}${selected ? " selected" : ""}${tag ? " tag" : ""}` }, tag ?? "");
  if (shape.form === "at") text.setAttribute("x", "13");
  text.append(svg("tspan", { class: "full" }, tag ? ` ${titleOf(shape)}` : titleOf(shape)));
  text.dataset.at = `${x} ${y}`;
  return text;
}

/**
 * How much of the plan a part takes, so that a small thing on a large one is picked.
 * @param {Shape} shape
 */
function extent(shape) {
  if (shape.form === "at") return 0;
  const bounds = boundsOf(footprint(shape) ?? shape.points);
  if (!bounds) return 0;
  const [wide, high] = [bounds.high[0] - bounds.low[0], bounds.high[1] - bounds.low[1]];
  return shape.form === "along" ? 40 * (wide + high) : wide * high;
}

/**
 * @param {Shape[]} shapes
 * @param {Shape} space
 */
function inOrder(shapes, space) {
  return shapes.filter((shape) => shape.points.length && liesIn(shape, space))
    .sort((one, other) => ORDER.indexOf(one.part) - ORDER.indexOf(other.part));
}

/**
 * @param {Shape} shape
 * @param {any} raw The part as the file has it.
 * @param {boolean} selected
 */
function drawn(shape, raw, selected) {
  const classes = ["part", shape.part, shape.form];
  if (shape.hazard) classes.push("hazard");
  if (shape.assumed_mm) classes.push("assumed");
  if (selected) classes.push("selected");
  if (shape.part === "support") classes.push(`fix-${raw?.fix === "never" || raw?.fix === "clip" ? raw.fix : "tie"}`);
  if (shape.part === "panel" && shape.form === "along") classes.push("upright");
  const group = svg("g", { class: classes.join(" ") }, svg("title", {}, titleOf(shape)));
  const style = shape.hazard ? HAZARDS[shape.hazard] : undefined;
  if (style) {
    group.style.setProperty("--colour", style.colour);
    group.style.setProperty("--outline", style.outline);
  }
  group.append(...lines(shape, raw));
  return group;
}

/**
 * @param {Shape} shape
 * @param {any} raw
 * @returns {SVGElement[]}
 */
function lines(shape, raw) {
  if (shape.form === "at") return symbol(shape);
  if (shape.part === "pass" && raw && "through" in raw) return symbol(shape);
  const outline = footprint(shape);
  if (!outline) {
    const d = open(shape.points);
    return [svg("path", { class: "hit", d }), svg("path", { class: "line", d })];
  }
  const d = closed(outline);
  const hatch = shape.hazard && shape.part === "keep-out" && HAZARDS[shape.hazard];
  return [
    svg("path", { class: "fill", d }),
    ...(hatch ? HAZARDS[shape.hazard ?? ""].hatches.map((_, number) => {
      const hatched = svg("path", { class: "hatch", d });
      hatched.style.fill = `url(#hatch-${shape.hazard}-${number})`;
      return hatched;
    }) : []),
    svg("path", { class: "line", d }),
  ];
}

/**
 * Small things, drawn the same size however near: rings for openings and holes, a nut for terminals.
 * @param {Shape} shape
 */
function symbol(shape) {
  const [x, y] = shape.points[0];
  const d = `M${x} ${y}h0`;
  return [svg("path", { class: "hit", d }), svg("path", { class: "dot outer", d }), svg("path", { class: "dot middle", d }), svg("path", { class: "dot inner", d })];
}

/** @param {Point[]} points */
export const closed = (points) => `M${points.map((point) => point.join(" ")).join("L")}Z`;

/** @param {Point[]} points */
export const open = (points) => `M${points.map((point) => point.join(" ")).join("L")}`;

/**
 * @param {SVGDefsElement} defs
 * @param {string} hazard
 * @param {import("./hazards.js").HazardStyle} style
 */
function makePatterns(defs, hazard, style) {
  return style.hatches.map(([angle, gap], number) => {
    const line = svg("path", { d: `M0 ${gap / 2}H20`, "stroke-dasharray": style.dash.join(" ") || null });
    const size = { width: 20, height: gap, patternUnits: "userSpaceOnUse" };
    const pattern = svg("pattern", { id: `hatch-${hazard}-${number}`, class: "hatching", ...size }, line);
    pattern.dataset.angle = String(angle);
    pattern.style.setProperty("--colour", style.colour);
    pattern.style.setProperty("--outline", style.outline);
    defs.append(pattern);
    return pattern;
  });
}

/** @typedef {ReturnType<typeof drawParts>} PlanParts */
