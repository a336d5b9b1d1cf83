/**
 * Drawing a new part: what to draw is chosen from a list, its points are tapped on the plan or typed off the tape.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./main.js").Page} Page
 * @typedef {import("./new_parts.js").NewPart} NewPart
 */
import { byId, el, svg } from "./dom.js";
import { circle, distance } from "./geometry.js";
import { HAZARDS } from "./hazards.js";
import { NEW_PARTS, made, pointsNeeded } from "./new_parts.js";
import { closed, open } from "./plan_parts.js";
import { createPointForm } from "./point_form.js";
import { SNAP_WORDS, snapped } from "./snapping.js";
import { selectedShape, shownSpace, spacesOf } from "./spaces.js";
import { said } from "./tape.js";

const CLOSE_PX = 24;

/** @param {Page} page */
export function createDrawing(page) {
  const { store, server, plan, panels } = page;
  const layer = plan.addOverlay("drawing");
  /** @type {NewPart|null} */
  let part = null;
  /** @type {{point: Point, typed: boolean}[]} */
  let points = [];
  /** @type {Point|null} */
  let hover = null;
  let hazard = "hot";
  /** @type {Shape|null} */
  let member = null;

  const element = el("div", {});
  const form = createPointForm(page, { says: "Add this point", last: () => points.at(-1)?.point ?? null, take: (point) => add(point, true) });
  panels.add({ key: "add", title: "Add", element, order: 20 });
  showList();

  function showList() {
    const list = el("div", { class: "choices" }, ...NEW_PARTS.map((each) =>
      el("button", { type: "button", class: "choice", onclick: () => begin(each.key) }, symbolOf(each), el("span", {}, each.label))));
    element.replaceChildren(el("h2", {}, "Add a part"), el("p", { class: "quiet" }, "Choose what it is, then tap it on the plan or type it off the tape."), list);
  }

  /** @param {string} key */
  function begin(key) {
    part = NEW_PARTS.find((each) => each.key === key) ?? null;
    const chosen = selectedShape(store.state(), store.ui());
    member = chosen?.part === "member" ? chosen : chosen?.part === "pass" ? memberOf(chosen) : null;
    points = [];
    store.show({ tool: key, point: null });
    panels.open("add");
    draw();
    showSteps();
  }

  /** @param {Shape} pass */
  function memberOf(pass) {
    return store.state()?.shapes.find((shape) => shape.part === "member" && shape.path[1] === pass.path[1]) ?? null;
  }

  function end() {
    part = null;
    points = [];
    hover = null;
    store.show({ tool: null, says: "" });
    showList();
    draw();
  }

  /**
   * @param {Point} point
   * @param {boolean} typed
   */
  function add(point, typed) {
    if (!part) return;
    points = [...points, { point, typed }];
    if (points.length >= pointsNeeded(part.form)[1]) return void finish();
    draw();
    showSteps();
  }

  function takeBack() {
    points = points.slice(0, -1);
    draw();
    showSteps();
  }

  async function finish() {
    const { state } = store.get();
    if (!part || !state || points.length < pointsNeeded(part.form)[0]) return;
    const names = state.shapes.map((shape) => shape.name).filter(Boolean);
    const around = {
      space: shownSpace(state, store.ui()), spaces: spacesOf(state), member, names, hazard,
      unit: state.files.profile.unit ?? "mm", assumed: points.some((each) => !each.typed),
    };
    const { edit, name } = made(part, points.map((each) => each.point), around);
    const is_space = part.key === "space";
    end();
    await server.edit([edit]);
    selectNew(edit.path, is_space ? name : null);
  }

  /**
   * @param {import("./types.js").Path} path
   * @param {string|null} space
   */
  function selectNew(path, space) {
    const depth = space ? path.length : path.length + 1;
    const found = store.state()?.shapes.filter((shape) => shape.file === "profile" && shape.path.length === depth
      && path.every((key, number) => key === shape.path[number])).at(-1);
    if (space) store.show({ space, seenFrom: null });
    if (!found) return;
    store.show({ selected: found.path, selectedFile: "profile", point: null });
    panels.open("part");
    page.form?.focusFirst();
  }

  function showSteps() {
    if (!part) return;
    const [least, most] = pointsNeeded(part.form);
    const count = points.length;
    const needed = part.needsMember && !member;
    element.replaceChildren(...[
      el("h2", {}, part.label),
      needed ? el("p", { class: "fault" }, "First pick the member that it belongs to on the plan, then choose this again.")
        : el("p", {}, part.says),
      part.hazard && hazards(),
      el("p", { class: "quiet", role: "status" }, count === 0 ? "No point yet." : `${count} ${count === 1 ? "point" : "points"}; the last one ${placeWords(points[count - 1].point)}.`),
      !needed && form.element,
      el("div", { class: "row" },
        most > least && el("button", { type: "button", class: "deed", disabled: count < least, onclick: () => void finish() }, "Done"),
        el("button", { type: "button", disabled: count === 0, onclick: takeBack }, "Take back last point"),
        el("button", { type: "button", onclick: end }, "Give up")),
    ].filter((each) => each instanceof HTMLElement));
    form.refresh();
  }

  function hazards() {
    return el("fieldset", { class: "chips" }, el("legend", {}, "Why stay away?"), ...Object.entries(HAZARDS).map(([key, style]) => {
      const swatch = el("span", { class: "swatch" }, style.letter);
      swatch.style.setProperty("--colour", style.colour);
      swatch.style.setProperty("--outline", style.outline);
      return el("button", { type: "button", "aria-pressed": String(key === hazard), title: style.says, onclick: () => { hazard = key; showSteps(); draw(); } }, swatch, key);
    }));
  }

  /** @param {Point} at */
  function placeWords([x, y]) {
    const { unit } = store.ui();
    return `${said(x, unit)} back, ${said(Math.abs(y), unit)} ${y < 0 ? "left" : "right"}`;
  }

  /**
   * @param {Point} at
   * @param {PointerEvent} event
   */
  function find(at, event) {
    return snapped(store, plan, at, { last: points.at(-1)?.point, own: points.map((each) => each.point), free: event.altKey });
  }

  plan.onTap((at, event) => {
    if (!part || (part.needsMember && !member)) return;
    const first = points[0]?.point;
    if (first && part.form === "area" && points.length >= 3 && distance(first, at) < CLOSE_PX * plan.pixel()) return void finish();
    add(find(at, event).point, false);
  });
  plan.onHover((at, event) => {
    if (!part) return;
    const found = at && find(at, event);
    hover = found ? found.point : null;
    store.show({ says: found ? `${placeWords(found.point)}${found.why ? `, ${SNAP_WORDS[found.why]}` : ""}` : "" });
    draw();
  });

  function draw() {
    layer.replaceChildren();
    plan.sheet.classList.toggle("drawing", part !== null);
    if (!part) return;
    const placed = points.map((each) => each.point);
    const all = (hover && placed.length < pointsNeeded(part.form)[1] ? [...placed, hover] : placed).map((point) => plan.toScreen(point));
    if (part.form === "disc" && all.length === 2) layer.append(svg("path", { class: "draft", d: closed(circle(all[0], distance(all[0], all[1]))) }));
    else if (all.length > 1) layer.append(svg("path", { class: "draft", d: part.form === "area" && all.length > 2 ? closed(all) : open(all) }));
    for (const [x, y] of placed.map((point) => plan.toScreen(point))) layer.append(svg("circle", { class: "handle point", cx: x, cy: y, r: 8 }));
    if (hover) {
      const [cx, cy] = plan.toScreen(hover);
      layer.append(svg("circle", { class: "aim", cx, cy, r: 6 }));
    }
  }

  plan.onView(draw);
  const adding = el("button", { type: "button", class: "deed", onclick: () => { end(); panels.open("add"); } }, "+ Add a part");
  byId("plan-tools").append(adding);

  return { begin, end, finish, takeBack, active: () => part !== null };
}

/** @param {NewPart} part */
function symbolOf(part) {
  const d = { area: "M4 8L30 5L32 22L7 24Z", line: "M3 22L14 8L33 8", two: "M5 22L31 7", disc: "M18 5a9.5 9.5 0 1 0 .01 0Z", point: "M18 15h0" }[part.form];
  return svg("svg", { class: `symbol of-${part.key.split(" ")[0]} as-${part.form}`, viewBox: "0 0 36 30", "aria-hidden": "true" }, svg("path", { d }));
}

/** @typedef {ReturnType<typeof createDrawing>} Drawing */
