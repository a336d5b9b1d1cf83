/**
 * What stands above everything: the server is away, a change was refused, another program changed a file.
 *
 * @typedef {import("./main.js").Page} Page
 */
import { byId, el } from "./dom.js";

/** @param {Page} page */
export function createNotices({ store, server }) {
  const room = byId("notices");
  let away = false;
  let refused = "";
  let waiting = 0;

  function draw() {
    const outside = store.state()?.outside;
    room.replaceChildren(...[away && awayNotice(), refused && refusedNotice(), outside && outsideNotice(outside.file)].filter((each) => each instanceof HTMLElement));
  }

  function awayNotice() {
    const kept = waiting ? ` ${waiting} ${waiting === 1 ? "change is" : "changes are"} kept here and sent as soon as it is back.` : "";
    return el("div", { class: "notice" }, el("p", {}, `The program in the background does not answer.${kept} Start it again if it was closed.`));
  }

  function refusedNotice() {
    return el("div", { class: "notice fault" }, el("p", {}, refused), el("button", { type: "button", onclick: () => { refused = ""; draw(); } }, "Understood"));
  }

  /** @param {string} file */
  function outsideNotice(file) {
    const answer = (/** @type {"mine"|"theirs"} */ keep) => () => void server.outside(file, keep);
    return el("div", { class: "notice" }, el("p", {}, `Another program changed the ${file} while you were drawing. Which one stands?`),
      el("button", { type: "button", onclick: answer("theirs") }, "The other program's"), el("button", { type: "button", class: "deed", onclick: answer("mine") }, "Mine, as drawn here"));
  }

  server.watch((what) => {
    away = what.away ?? away;
    refused = what.refused ?? refused;
    waiting = what.waiting;
    byId("plan").setAttribute("aria-busy", String(waiting > 0));
    draw();
  });
  store.subscribe((now, before) => {
    if (now.state !== before.state) draw();
  });
  return {
    /** @param {boolean} is_away */
    away(is_away) {
      away = is_away;
      draw();
    },
    /** @param {string} words */
    say(words) {
      refused = words;
      draw();
    },
  };
}
