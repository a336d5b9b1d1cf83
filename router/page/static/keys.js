/**
 * Everything by keys. Letters act only where nobody is typing.
 *
 * @typedef {import("./main.js").Page} Page
 */
import { fromScreen } from "./view.js";
import { liesIn, selectedShape, shownSpace, spacesOf } from "./spaces.js";

/** What the keys do, for the help. @type {[string, string][]} */
export const KEYS = [
  ["Tab", "to the next field or button"],
  ["Arrows", "move the plan; with a part picked, move it by 1 mm, with Shift by 10"],
  ["+ and −", "nearer, farther"],
  ["0", "the whole space"],
  ["V", "see it from the other side"],
  ["1 to 9", "another space"],
  ["[ and ]", "the part before, the part after"],
  ["N and P", "next and previous thing to do"],
  ["A", "add a part"],
  ["M", "mirror the picked part"],
  ["Delete", "remove the picked part, or take back the last point"],
  ["Enter", "finish what is drawn"],
  ["Escape", "give up, let go"],
  ["Ctrl+Z, Ctrl+Y", "undo, redo"],
  ["?", "this help"],
];

/** @param {Page} page */
export function listenToKeys(page) {
  const { store, server, plan, drawing, form, lists, head, help, handles, panels } = page;

  /** @type {Record<string, () => void>} */
  const deeds = {
    v: () => head?.turnOver(), n: () => lists?.next(), p: () => lists?.previous(), m: () => form?.mirror(),
    a: () => panels.open("add"), "?": () => help?.show(), "[": () => step(-1), "]": () => step(1),
    Delete: () => (drawing?.active() ? drawing.takeBack() : form?.remove()),
    Backspace: () => drawing?.active() && drawing.takeBack(),
    Enter: () => drawing?.active() && void drawing.finish(),
    Escape: () => (drawing?.active() ? drawing.end() : store.show({ selected: null, point: null })),
  };

  /** @param {number} by */
  function step(by) {
    const { state, ui } = store.get();
    const space = shownSpace(state, ui);
    const shapes = (state?.shapes ?? []).filter((shape) => space && shape.part !== "space" && liesIn(shape, space));
    if (!shapes.length) return;
    const now = selectedShape(state, ui);
    const next = shapes[(Math.max(now ? shapes.indexOf(now) : by > 0 ? -1 : 0, -1) + by + shapes.length) % shapes.length];
    store.show({ selected: next.path, selectedFile: next.file, point: null });
  }

  document.addEventListener("keydown", (event) => {
    const target = /** @type {Element} */ (event.target);
    if (document.querySelector("#over > [role=dialog]")) return;
    if (event.ctrlKey || event.metaKey) return undoKeys(event, target);
    if (event.key === "Escape" && target instanceof HTMLElement && target.matches("input, select")) return target.blur();
    if (event.altKey || target.matches("input, select, textarea")) return;
    if (target.matches("button, summary") && event.key === "Enter") return;
    if (/^[1-9]$/.test(event.key)) {
      const space = spacesOf(store.state())[Number(event.key) - 1];
      if (space) store.show({ space: space.name, seenFrom: null });
      return;
    }
    const deed = deeds[event.key] ?? deeds[event.key.toLowerCase()];
    if (!deed) return;
    event.preventDefault();
    deed();
  });

  plan.sheet.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!way || event.ctrlKey || event.metaKey || !store.ui().selected) return;
    const [x, y] = fromScreen(plan.view(), [way[0], way[1]]);
    const mm = event.shiftKey ? 10 : 1;
    if (handles?.nudge([Math.round(x) * mm + 0, Math.round(y) * mm + 0])) {
      event.preventDefault();
      event.stopImmediatePropagation();
    }
  }, { capture: true });

  /**
   * @param {KeyboardEvent} event
   * @param {Element} target
   */
  function undoKeys(event, target) {
    const key = event.key.toLowerCase();
    if (target.matches("input:not([type=checkbox])") || !["z", "y"].includes(key)) return;
    event.preventDefault();
    if (key === "y" || event.shiftKey) void server.redo();
    else void server.undo();
  }
}
