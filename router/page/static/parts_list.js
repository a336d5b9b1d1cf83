/**
 * Every part of the shown space by kind, to be picked without the plan: with a finger, by keys, or read aloud.
 *
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./main.js").Page} Page
 */
import { el } from "./dom.js";
import { HAZARDS, tagsOf } from "./hazards.js";
import { liesIn, shownSpace, titleOf } from "./spaces.js";

/** @type {[string, string][]} */
const GROUPS = [
  ["space", "This space"], ["keep-out", "Keep-outs"], ["member", "Crossmembers"], ["support", "Supports"], ["opening", "Openings"],
  ["terminal", "Terminals"], ["place", "Units of the job"], ["cover", "Covers"], ["panel", "Panels"], ["step", "Steps"], ["exposed", "Exposed areas"],
];

/** @param {Page} page */
export function createPartsList({ store }) {
  let wanted = "";

  /** @param {HTMLElement} element */
  function drawInto(element) {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    const shapes = (state?.shapes ?? []).filter((shape) => space && liesIn(shape, space));
    const rows = el("div", { class: "groups" });
    const search = el("input", { type: "search", id: "part-search", "aria-label": "Find a part by name", placeholder: "Find a part", value: wanted });
    search.addEventListener("input", () => {
      wanted = search.value;
      fill();
    });
    element.replaceChildren(el("h2", {}, space ? `Parts of the ${space.name}` : "No vehicle yet"), el("p", { class: "quiet" },
      "Tap a part on the plan, or choose it here. Drag the plan to move it, pinch or turn the wheel to come nearer."), search, rows);

    function fill() {
      const tags = tagsOf(state?.shapes ?? []);
      const met = shapes.filter((shape) => titleOf(shape).toLowerCase().includes(wanted.trim().toLowerCase()));
      rows.replaceChildren(...GROUPS.flatMap(([part, title]) => {
        const found = met.filter((shape) => shape.part === part).sort((one, other) => (one.points[0]?.[0] ?? 0) - (other.points[0]?.[0] ?? 0));
        return found.length ? [el("h3", {}, `${title} (${found.length})`), el("div", { class: "list" }, ...found.map((shape) => row(shape, tags.get(shape))))] : [];
      }));
    }
    fill();
  }

  /**
   * @param {Shape} shape
   * @param {string|undefined} tag
   */
  function row(shape, tag) {
    const swatch = tag ? el("span", { class: "swatch" }, tag) : null;
    const style = HAZARDS[shape.hazard ?? ""];
    if (swatch && style) {
      swatch.style.setProperty("--colour", style.colour);
      swatch.style.setProperty("--outline", style.outline);
    }
    const notes = [shape.assumed_mm ? "not measured" : "", shape.part === "keep-out" && !shape.heights_mm ? "no heights" : ""].filter(Boolean).join(", ");
    return el("button", { type: "button", class: "item", onclick: () => store.show({ selected: shape.path, selectedFile: shape.file, point: null }) },
      swatch, el("span", { class: "grow" }, titleOf(shape)), notes && el("span", { class: "small task-words" }, notes));
  }

  return { drawInto };
}
