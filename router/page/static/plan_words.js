/**
 * Which words on the plan are shown: none lies on another; the picked part's first, then tags, then names.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {{word: SVGTextElement, at: Point, tag: string, full: string, rank: number, starts: boolean}} Label
 */

const [LETTER_PX, HIGH_PX] = [7.4, 15];

/**
 * @param {SVGTextElement} word
 * @param {Point} at On the screen.
 * @returns {Label}
 */
export function labelOf(word, at) {
  const full = word.querySelector(".full")?.textContent ?? "";
  const is_tag = word.classList.contains("tag");
  const rank = word.classList.contains("selected") ? 0 : is_tag ? 1 : word.classList.contains("terminal") || word.classList.contains("opening") ? 2 : 3;
  const tag = (word.textContent ?? "").slice(0, -full.length || undefined);
  return { word, at, tag, full, rank, starts: rank === 2 };
}

/**
 * @param {Label[]} labels
 * @param {number} width Of the window.
 */
export function tidy(labels, width) {
  /** @type {[number, number, number, number][]} */
  const taken = [];
  const ranked = [...labels].sort((one, other) => one.rank - other.rank);
  const shown = new Map(ranked.map((label) => [label, label.tag ? fits(label, label.tag, taken, label.rank === 0) : false]));
  for (const label of ranked) {
    if (label.tag && !shown.get(label)) {
      label.word.classList.add("crowded");
      continue;
    }
    const is_full = fits(label, `${label.tag}${label.full}`, label.tag ? taken.filter((box) => !isOwn(box, label)) : taken, label.rank === 0) && isSeen(label, width);
    label.word.classList.toggle("short", !is_full);
    label.word.classList.toggle("crowded", !is_full && !label.tag);
    if (is_full) taken.push(boxOf(label, `${label.tag}${label.full}`));
  }
}

/**
 * @param {Label} label
 * @param {string} words
 * @returns {[number, number, number, number]}
 */
function boxOf({ at: [x, y], starts }, words) {
  const wide = words.length * LETTER_PX + 4;
  return starts ? [x, y - HIGH_PX / 2, x + wide + 14, y + HIGH_PX / 2] : [x - wide / 2, y - HIGH_PX / 2, x + wide / 2, y + HIGH_PX / 2];
}

/**
 * Whether a name whose place is in the window does not run out of it.
 * @param {Label} label
 * @param {number} width
 */
function isSeen(label, width) {
  const [left, , right] = boxOf(label, `${label.tag}${label.full}`);
  return label.rank === 0 || label.at[0] < 0 || label.at[0] > width || (left >= 0 && right <= width);
}

/**
 * @param {[number, number, number, number]} box
 * @param {Label} label
 */
function isOwn(box, label) {
  return boxOf(label, label.tag).every((each, number) => each === box[number]);
}

/**
 * @param {Label} label
 * @param {string} words
 * @param {[number, number, number, number][]} taken
 * @param {boolean} always
 */
function fits(label, words, taken, always) {
  const box = boxOf(label, words);
  const free = !taken.some((each) => box[0] < each[2] && box[2] > each[0] && box[1] < each[3] && box[3] > each[1]);
  if ((free || always) && words === label.tag) taken.push(box);
  return free || always;
}
