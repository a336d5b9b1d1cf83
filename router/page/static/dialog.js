/** A sheet over the whole page that keeps the keyboard until it is closed. */
import { byId, el } from "./dom.js";

/**
 * @param {string} title
 * @param {HTMLElement[]} content
 * @param {{closes?: boolean}} [how] Whether it may be closed without an answer.
 */
export function openDialog(title, content, { closes = true } = {}) {
  const before = document.activeElement;
  const heading = el("h2", { id: "dialog-title", tabindex: "-1" }, title);
  const shut = closes && el("button", { type: "button", onclick: close }, "Close");
  const box = el("div", { class: "dialog", role: "dialog", "aria-modal": "true", "aria-labelledby": "dialog-title" },
    el("div", { class: "row between" }, heading, shut), ...content);
  box.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && closes) close();
    if (event.key === "Tab") keepInside(box, event);
  });
  byId("over").replaceChildren(box);
  for (const id of ["head", "main"]) byId(id).inert = true;
  heading.focus();

  function close() {
    box.remove();
    for (const id of ["head", "main"]) byId(id).inert = false;
    if (before instanceof HTMLElement) before.focus();
  }
  return { box, heading, close };
}

/**
 * @param {HTMLElement} box
 * @param {KeyboardEvent} event
 */
function keepInside(box, event) {
  const stops = [...box.querySelectorAll("button:not(:disabled), input, select, summary")];
  const [first, last] = [stops[0], stops[stops.length - 1]];
  const leaves = event.shiftKey ? document.activeElement === first : document.activeElement === last;
  if (!leaves || !(first instanceof HTMLElement) || !(last instanceof HTMLElement)) return;
  event.preventDefault();
  (event.shiftKey ? last : first).focus();
}
