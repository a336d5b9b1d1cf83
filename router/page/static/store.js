/**
 * One place for what is known: the server's state and what this window shows of it.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Ui} Ui
 * @typedef {{state: State|null, ui: Ui}} Known
 * @typedef {(now: Known, before: Known) => void} Listener
 */

import { withSpaces } from "./spaces.js";

/** @type {Ui} */
const START = {
  space: null,
  seenFrom: null,
  selected: null,
  selectedFile: "profile",
  point: null,
  tool: null,
  unit: "mm",
  says: "",
  hidden: [],
};

export function createStore() {
  /** @type {Known} */
  let known = { state: null, ui: START };
  /** @type {Set<Listener>} */
  const listeners = new Set();

  /** @param {Known} next */
  function tell(next) {
    const before = known;
    known = next;
    for (const listener of [...listeners]) listener(known, before);
  }

  return {
    /** @returns {Known} */
    get: () => known,
    /** @returns {State|null} */
    state: () => known.state,
    /** @returns {Ui} */
    ui: () => known.ui,
    /**
     * Take the server's newest state; an older one that comes late is dropped.
     * @param {State} state
     */
    take(state) {
      if (known.state && state.revision < known.state.revision) return;
      tell({ ...known, state: { ...state, shapes: withSpaces(state.shapes) } });
    },
    /** @param {Partial<Ui>} change */
    show(change) {
      const ui = { ...known.ui, ...change };
      const keys = /** @type {(keyof Ui)[]} */ (Object.keys(change));
      if (keys.some((key) => ui[key] !== known.ui[key])) tell({ ...known, ui });
    },
    /**
     * Call a function after every change. Returns how to end that.
     * @param {Listener} listener
     */
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}

/** @typedef {ReturnType<typeof createStore>} Store */
