/**
 * A point typed off the tape: from the datum, from the last point, from a point with a name, or along and across a member
 * or support.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {import("./types.js").Shape} Shape
 * @typedef {import("./main.js").Page} Page
 */
import { el } from "./dom.js";
import { alongAcross, plus } from "./geometry.js";
import { lengthOf, onTape } from "./tape.js";
import { titleOf } from "./spaces.js";

const WAYS = { datum: "from the datum", last: "from the last point", named: "from a named point", along: "along a member or line" };
let numbered = 0;

/**
 * @param {Page} page
 * @param {{says: string, last: () => Point|null, take: (point: Point) => void, now?: () => Point|null}} how
 */
export function createPointForm({ store }, how) {
  const id = `typed-${(numbered += 1)}`;
  const way = el("select", { id: `${id}-way` }, ...Object.entries(WAYS).map(([value, words]) => el("option", { value }, words)));
  const named = el("select", { id: `${id}-named` });
  const first = el("input", { id: `${id}-first`, inputmode: "text", autocomplete: "off" });
  const second = el("input", { id: `${id}-second`, inputmode: "text", autocomplete: "off" });
  const [firstLabel, secondLabel] = [el("label", { for: first.id }), el("label", { for: second.id })];
  const fault = el("p", { class: "fault", role: "alert", hidden: true });
  const named_box = el("div", { class: "field" }, el("label", { for: named.id }, "Which"), named);
  const element = el("form", { class: "typed", novalidate: true, onsubmit: submit },
    el("div", { class: "field" }, el("label", { for: way.id }, "Measured"), way), named_box,
    el("div", { class: "pair" }, el("div", { class: "field" }, firstLabel, first), el("div", { class: "field" }, secondLabel, second)),
    fault, el("button", { type: "submit" }, how.says));
  way.addEventListener("change", refresh);

  /** @returns {{words: string, point: Point}[]} */
  function namedPoints() {
    const shapes = store.state()?.shapes ?? [];
    return shapes.flatMap((shape) => {
      if (!shape.name || shape.part === "space") return [];
      if (shape.points.length === 1) return [{ words: titleOf(shape), point: shape.points[0] }];
      if (shape.form !== "along") return [];
      return [{ words: `${titleOf(shape)}, start`, point: shape.points[0] }, { words: `${titleOf(shape)}, end`, point: shape.points[shape.points.length - 1] }];
    }).sort((one, other) => one.words.localeCompare(other.words));
  }

  const linesOf = () => (store.state()?.shapes ?? []).filter((shape) => shape.form === "along" && shape.name && shape.part !== "keep-out");

  function refresh() {
    const { unit } = store.ui();
    const is_along = way.value === "along";
    const choices = way.value === "named" ? namedPoints().map((each) => each.words) : is_along ? linesOf().map(titleOf) : [];
    named_box.hidden = choices.length === 0;
    const before = named.value;
    named.replaceChildren(...choices.map((words) => el("option", { value: words }, words)));
    if (choices.includes(before)) named.value = before;
    firstLabel.textContent = is_along ? `Along, from its start, ${unit}` : `To the rear, ${unit}`;
    secondLabel.textContent = is_along ? `Across, − is left, ${unit}` : `To the right, − is left, ${unit}`;
    const now = how.now?.();
    if (now && way.value === "datum" && !element.contains(document.activeElement)) [first.value, second.value] = now.map((mm) => onTape(mm, unit));
  }

  /** @returns {Point} */
  function origin() {
    if (way.value === "last") return how.last() ?? [0, 0];
    if (way.value === "named") return namedPoints().find((each) => each.words === named.value)?.point ?? [0, 0];
    return [0, 0];
  }

  /** @param {Event} event */
  function submit(event) {
    event.preventDefault();
    const { unit } = store.ui();
    const [a, b] = [first, second].map((each) => lengthOf(each.value || "0", unit));
    const empty = !first.value.trim() && !second.value.trim();
    const wrong = empty || a === null ? first : b === null ? second : null;
    fault.hidden = !wrong;
    if (wrong || a === null || b === null) {
      fault.textContent = empty ? "Type at least one of the two numbers." : `"${wrong?.value}" is no length; write e.g. 1650 or 65 1/2 in`;
      return wrong?.focus();
    }
    how.take(way.value === "along" ? onLine(a, b) : plus(origin(), [a, b]));
    if (!how.now) [first.value, second.value] = ["", ""];
    first.focus();
  }

  /**
   * @param {number} along
   * @param {number} across
   */
  function onLine(along, across) {
    const line = linesOf().find((shape) => titleOf(shape) === named.value);
    return alongAcross(line?.points ?? [[0, 0], [1, 0]], along, across);
  }

  refresh();
  return { element, refresh };
}
