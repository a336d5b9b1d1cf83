/**
 * What a person does to a job, as edits of job.yaml (see edits in the server's contract). Nothing here touches the page.
 *
 * @typedef {{file: "profile" | "job", op: "set" | "add" | "remove" | "text", path: (string | number)[], value?: unknown}} Edit
 * @typedef {{name?: unknown, colour?: unknown, load?: unknown, duty?: unknown, function?: unknown, lamps?: unknown,
 *   returns?: unknown, size?: unknown, [key: string]: unknown}} Conductor
 * @typedef {{run?: unknown, from?: unknown, to?: unknown, via?: unknown, avoid?: unknown, fuse?: unknown, lead?: unknown,
 *   conductors?: unknown, [key: string]: unknown}} Run
 * @typedef {{job?: unknown, runs?: unknown, places?: unknown, source?: unknown, limits?: unknown}} Job
 */

/** Kinds of parts that a run may be sent along or through, and kinds that it may be kept off. */
export const GO_BY_PARTS = Object.freeze(["support", "opening", "member", "terminal"]);
export const AVOID_PARTS = Object.freeze(["support", "opening", "member", "cover"]);

/**
 * Return the runs of a job, as far as it has any.
 *
 * @param {Job | null} job
 * @returns {Run[]}
 */
export function runsOf(job) {
  const runs = job?.runs;
  return Array.isArray(runs) ? runs.map((run) => (isMapping(run) ? run : {})) : [];
}

/**
 * Return the places that a job brings along, as far as it has any.
 *
 * @param {Job | null} job
 * @returns {Record<string, unknown>[]}
 */
export function placesOf(job) {
  const places = job?.places;
  return Array.isArray(places) ? places.map((place) => (isMapping(place) ? place : {})) : [];
}

/**
 * Return the conductors of a run.
 *
 * @param {Run} run
 * @returns {Conductor[]}
 */
export function conductorsOf(run) {
  return Array.isArray(run.conductors) ? run.conductors.map((each) => (isMapping(each) ? each : {})) : [];
}

/**
 * Return the names under a key that holds one name or several.
 *
 * @param {unknown} held
 * @returns {string[]}
 */
export function namesIn(held) {
  return (Array.isArray(held) ? held : [held]).filter((each) => typeof each === "string");
}

/**
 * Send a run by a part: it is added to `via`, and leaves `avoid`.
 *
 * @param {Job | null} job
 * @param {number} run index of the run
 * @param {string} name of the part
 * @returns {Edit[]}
 */
export function goBy(job, run, name) {
  return [...without(job, run, "avoid", name), ...within(job, run, "via", name)];
}

/**
 * Keep a run off a part: it is added to `avoid`, and leaves `via`.
 *
 * @param {Job | null} job
 * @param {number} run
 * @param {string} name
 * @returns {Edit[]}
 */
export function doNotUse(job, run, name) {
  return [...without(job, run, "via", name), ...within(job, run, "avoid", name)];
}

/**
 * Let a run do with a part as it likes.
 *
 * @param {Job | null} job
 * @param {number} run
 * @param {string} name
 * @returns {Edit[]}
 */
export function freely(job, run, name) {
  return [...without(job, run, "via", name), ...without(job, run, "avoid", name)];
}

/**
 * Return what a run was told about a part.
 *
 * @param {Run} run
 * @param {string} name
 * @returns {"via" | "avoid" | null}
 */
export function told(run, name) {
  if (namesIn(run.via).includes(name)) return "via";
  return namesIn(run.avoid).includes(name) ? "avoid" : null;
}

/**
 * Let a run begin or end at a terminal.
 *
 * @param {number} run
 * @param {"from" | "to"} end
 * @param {string} terminal
 * @returns {Edit[]}
 */
export function joinEnd(run, end, terminal) {
  return [{ file: "job", op: "set", path: ["runs", run, end], value: terminal }];
}

/**
 * Put a value where a person typed one, or take the key away where the field was emptied.
 *
 * @param {(string | number)[]} path
 * @param {string} text
 * @param {boolean} isThere whether the key is in the file now
 * @returns {Edit[]}
 */
export function typed(path, text, isThere) {
  const value = text.trim();
  if (value) return [{ file: "job", op: "set", path, value }];
  return isThere ? [{ file: "job", op: "remove", path }] : [];
}

/**
 * Put a place of the job somewhere else.
 *
 * @param {Job | null} job
 * @param {string} name
 * @param {readonly [number, number]} at in the unit of the profile
 * @returns {Edit[]} none where the job has no place of this name
 */
export function movePlace(job, name, at) {
  const index = placesOf(job).findIndex((place) => place.name === name);
  return index < 0 ? [] : [{ file: "job", op: "set", path: ["places", index, "at"], value: [...at] }];
}

/**
 * Take a run out of the job, and what would hang loose without it: the places that no other run ends at.
 *
 * @param {Job | null} job
 * @param {number} run
 * @returns {Edit[]}
 */
export function removeRun(job, run) {
  const kept = runsOf(job).filter((_, index) => index !== run);
  const used = new Set(kept.flatMap((each) => [...namesIn(each.from), ...namesIn(each.to), ...namesIn(each.via)]));
  const gone = runsOf(job)[run];
  const ended = new Set([...namesIn(gone?.from), ...namesIn(gone?.to)]);
  const loose = placesOf(job)
    .map((place, index) => ({ name: String(place.name), index }))
    .filter(({ name }) => ended.has(name) && !used.has(name))
    .reverse();
  return [
    { file: "job", op: "remove", path: ["runs", run] },
    ...loose.map(({ index }) => /** @type {Edit} */ ({ file: "job", op: "remove", path: ["places", index] })),
  ];
}

/**
 * @param {Job | null} job
 * @param {number} run
 * @param {"via" | "avoid"} key
 * @param {string} name
 * @returns {Edit[]}
 */
function within(job, run, key, name) {
  const held = runsOf(job)[run]?.[key];
  if (namesIn(held).includes(name)) return [];
  const path = ["runs", run, key];
  if (Array.isArray(held)) return [{ file: "job", op: "add", path, value: name }];
  return [{ file: "job", op: "set", path, value: [...namesIn(held), name] }];
}

/**
 * Only the name is taken out, so that what else is written in the list stays as it is.
 *
 * @param {Job | null} job
 * @param {number} run
 * @param {"via" | "avoid"} key
 * @param {string} name
 * @returns {Edit[]}
 */
function without(job, run, key, name) {
  const held = runsOf(job)[run]?.[key];
  const path = ["runs", run, key];
  if (!namesIn(held).includes(name)) return [];
  if (!Array.isArray(held) || held.every((each) => each === name)) return [{ file: "job", op: "remove", path }];
  const indexes = held.flatMap((each, index) => (each === name ? [index] : [])).reverse();
  return indexes.map((index) => ({ file: "job", op: "remove", path: [...path, index] }));
}

/** @param {unknown} value @returns {value is Record<string, unknown>} */
function isMapping(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
