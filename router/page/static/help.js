/**
 * Help where it is needed: one sentence and a picture each.
 *
 * @typedef {import("./main.js").Page} Page
 */
import { openDialog } from "./dialog.js";
import { byId, el, svg } from "./dom.js";
import { KEYS } from "./keys.js";

export function createHelp() {
  const show = () => void openDialog("Help", [
    topic("Where things lie", axes(), "Every place is two numbers: how far to the rear of the datum, and how far to the right of the centre line; to the left is minus. Heights count from the ground."),
    topic("Why it looks mirrored", mirror(), "Under the vehicle you look up: its left side is where it is when you lie there. The button at the top turns it over."),
    topic("Heights decide", heights(), "A cable may pass over or under a part whose lowest and highest points are known; without them the part fills its space from floor to roof."),
    topic("Broken lines", broken(), "What is drawn in broken lines has not been measured yet. It may be off, so the way keeps farther away from it."),
    el("h3", {}, "Keys"),
    el("dl", { class: "keys" }, ...KEYS.flatMap(([key, says]) => [el("dt", {}, key), el("dd", {}, says)])),
  ]);
  byId("actions").append(el("button", { type: "button", title: "Help (?)", "aria-label": "Help", onclick: show }, "?"));
  return { show };
}

/**
 * @param {string} title
 * @param {SVGElement} drawing
 * @param {string} words
 */
function topic(title, drawing, words) {
  return el("section", { class: "topic" }, drawing, el("div", {}, el("h3", {}, title), el("p", {}, words)));
}

/** @param {...SVGElement} children */
const frame = (...children) => svg("svg", { class: "help-picture", viewBox: "0 0 160 100", "aria-hidden": "true" }, ...children);

/**
 * @param {string} d
 * @param {string} [kind]
 */
const path = (d, kind = "ink") => svg("path", { d, class: kind });

/**
 * @param {number} x
 * @param {number} y
 * @param {string} words
 */
const word = (x, y, words) => svg("text", { x, y }, words);

const VEHICLE = "M22 34L40 24H132L142 32V68L132 76H40L22 66Z";

function axes() {
  return frame(path(VEHICLE, "body"), path("M48 50H118M112 46L118 50L112 54", "deed"), path("M48 50V68M44 62L48 68L52 62", "deed"), path("M48 50h0", "dot"), word(82, 44, "to the rear"), word(66, 88, "to the right"));
}

function mirror() {
  return frame(path("M20 30H140L132 14H36Z", "body"), path("M34 30v10M126 30v10", "ink"), path("M60 78h44M104 78c8 0 10-12 2-12s-8 12 0 12", "ink"), path("M106 62L100 36M100 36l-4 7M100 36l6 5", "deed"), word(84, 96, "you, looking up"));
}

function heights() {
  return frame(path("M8 88H152", "ink"), path("M56 34H104V58H56Z", "hot"), path("M120 58V88M116 64l4-6 4 6M116 82l4 6 4-6", "deed"), path("M136 34V88M132 40l4-6 4 6M132 82l4 6 4-6", "deed"), word(96, 78, "lowest"), word(112, 26, "highest"), path("M12 22H90", "cable"));
}

function broken() {
  return frame(path("M24 28H72V72H24Z", "hot"), path("M90 28H138V72H90Z", "guess"), word(48, 90, "measured"), word(114, 90, "not yet"));
}

/** @typedef {ReturnType<typeof createHelp>} Help */
