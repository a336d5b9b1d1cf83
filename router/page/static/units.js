/**
 * Which unit this window speaks: the file's at first, what a person chose from then on.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./types.js").Unit} Unit
 */

const KEPT = "unit of this window";

/** @param {Store} store */
export function keepUnit(store) {
  const kept = localStorage.getItem(KEPT);
  if (kept === "mm" || kept === "in") store.show({ unit: kept });
  store.subscribe((now, before) => {
    if (now.ui.unit !== before.ui.unit) localStorage.setItem(KEPT, now.ui.unit);
    const unit = now.state?.files.profile.unit;
    if (!before.state && unit && !localStorage.getItem(KEPT)) store.show({ unit: unit === "in" || unit === "ft" ? "in" : "mm" });
  });
}
