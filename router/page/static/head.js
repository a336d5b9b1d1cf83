/**
 * The line at the top: which vehicle, which space, from where it is seen, undo and redo.
 *
 * @typedef {import("./main.js").Page} Page
 */
import { byId, el, svg } from "./dom.js";
import { seenFrom, shownSpace, spacesOf } from "./spaces.js";

/** @param {Page} page */
export function createHead({ store, server, plan }) {
  const spaces = byId("spaces");
  const button = (/** @type {string|Node} */ words, /** @type {() => void} */ act, /** @type {string} */ title) =>
    el("button", { type: "button", title, onclick: act }, words);
  const undo = button(icon("M8 6L4 10L8 14M4 10H15A5 5 0 0 1 15 20H10"), () => void server.undo(), "Take back the last change (Ctrl+Z)");
  const redo = button(icon("M16 6L20 10L16 14M20 10H9A5 5 0 0 0 9 20H14"), () => void server.redo(), "Do again what was taken back (Ctrl+Y)");
  const from = el("span", {});
  const seen = button(el("span", {}, el("span", { class: "wide-only" }, "Seen from "), from), turnOver, "Look from the other side (V)");
  undo.setAttribute("aria-label", "Undo");
  redo.setAttribute("aria-label", "Redo");
  const unit = button("mm", () => store.show({ unit: store.ui().unit === "in" ? "mm" : "in" }), "Millimetres or inches");
  const whole = button(icon("M4 9V4H9M15 4H20V9M20 15V20H15M9 20H4V15"), plan.fit, "Show the whole space (0)");
  whole.setAttribute("aria-label", "Show the whole space");
  byId("actions").append(seen, unit, undo, redo);
  byId("plan-tools").append(whole);

  function turnOver() {
    const { state, ui } = store.get();
    const now = seenFrom(shownSpace(state, ui), ui);
    store.show({ seenFrom: now === "below" ? "above" : "below" });
  }

  let drawn = "";

  function draw() {
    const { state, ui } = store.get();
    byId("vehicle").textContent = state?.files.profile.name || "No vehicle yet";
    const shown = shownSpace(state, ui);
    const now = JSON.stringify([spacesOf(state).map((space) => space.name), shown?.name]);
    if (now !== drawn) spaces.replaceChildren(...spacesOf(state).map((space) => {
      const tab = button(space.name, () => store.show({ space: space.name, seenFrom: null }), `Show ${space.name}`);
      tab.setAttribute("role", "tab");
      tab.setAttribute("aria-selected", String(space === shown));
      tab.tabIndex = space === shown ? 0 : -1;
      return tab;
    }));
    if (now !== drawn) spaces.querySelector('[aria-selected="true"]')?.scrollIntoView({ block: "nearest", inline: "nearest" });
    drawn = now;
    from.textContent = seenFrom(shown, ui);
    seen.setAttribute("aria-label", `Seen from ${seenFrom(shown, ui)}`);
    unit.textContent = ui.unit;
    unit.setAttribute("aria-label", `Unit: ${ui.unit}`);
    undo.disabled = !state?.can_undo;
    redo.disabled = !state?.can_redo;
  }

  spaces.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const { state, ui } = store.get();
    const all = spacesOf(state);
    const now = all.findIndex((space) => space === shownSpace(state, ui));
    if (!step || now < 0) return;
    store.show({ space: all[(now + step + all.length) % all.length].name, seenFrom: null });
    /** @type {HTMLElement|null} */ (spaces.querySelector('[aria-selected="true"]'))?.focus();
    event.preventDefault();
    event.stopPropagation();
  });
  store.subscribe(draw);
  draw();
  return { turnOver, fit: plan.fit };
}

/** @param {string} d */
function icon(d) {
  return svg("svg", { class: "icon", viewBox: "0 0 24 24", "aria-hidden": "true" }, svg("path", { d }));
}

/** @typedef {ReturnType<typeof createHead>} Head */
