/**
 * One field of a form: typed or chosen, judged where it stands, saved when it is left.
 *
 * @typedef {import("./fields.js").Field} Field
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./server.js").Server} Server
 * @typedef {(value: unknown) => void} Save Undefined takes the key away.
 */
import { el } from "./dom.js";
import { spacesOf } from "./spaces.js";
import { inUnit, lengthOf, onTape } from "./tape.js";

/**
 * @param {Store} store
 * @param {Server} server
 */
export function createInputs(store, server) {
  /**
   * @param {Field} field
   * @param {unknown} now What stands in the file.
   * @param {Save} save
   * @param {string} id
   */
  function make(field, now, save, id) {
    if (field.type === "flag") return flag(field, now, save, id);
    if (field.type === "choice" || field.type === "space") return choice(field, now, save, id);
    return typed(field, now, save, id);
  }

  /**
   * @param {Field} field
   * @param {unknown} now
   * @param {Save} save
   * @param {string} id
   */
  function flag(field, now, save, id) {
    const box = el("input", { type: "checkbox", id, onchange: () => save(box.checked ? true : undefined) });
    box.checked = now === true;
    return el("label", { class: "flag", for: id }, box, el("span", {}, field.label));
  }

  /**
   * @param {Field} field
   * @param {unknown} now
   * @param {Save} save
   * @param {string} id
   */
  function choice(field, now, save, id) {
    const words = field.type === "space" ? spacesOf(store.state()).map((space) => space.name) : field.choices ?? [];
    const unknown = now !== undefined && !words.includes(String(now));
    const empty = now === undefined || field.optional;
    const select = el("select", { id, onchange: () => save(select.value || undefined) },
      empty && el("option", { value: "" }, "not said"), unknown && el("option", { value: String(now) }, String(now)),
      ...words.map((word) => el("option", { value: word }, word)));
    select.value = now === undefined ? "" : String(now);
    return el("div", { class: "field" }, el("label", { for: id }, field.label), select);
  }

  /**
   * @param {Field} field
   * @param {unknown} now
   * @param {Save} save
   * @param {string} id
   */
  function typed(field, now, save, id) {
    const { unit } = store.ui();
    const is_length = field.type === "length";
    const mm = is_length && now !== undefined ? lengthOf(String(now), unit) : null;
    const shown = mm !== null ? onTape(mm, unit) : now === undefined ? "" : String(now);
    const input = el("input", { id, value: shown, autocomplete: "off", inputmode: field.type === "count" ? "numeric" : null, "aria-describedby": `${id}-says` });
    const says = el("p", { class: "small quiet", id: `${id}-says` }, field.says ?? "");
    input.addEventListener("change", () => void leave());
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter") input.blur();
      if (event.key === "Escape") input.value = shown;
    });

    async function leave() {
      if (input.value.trim() === shown) return complain("");
      const read = await valueOf(field, input.value.trim());
      complain(read.fault ?? "");
      if (!read.fault) save(read.value);
    }

    /** @param {string} fault */
    function complain(fault) {
      input.setAttribute("aria-invalid", String(fault !== ""));
      says.classList.toggle("fault", fault !== "");
      says.textContent = fault || (field.says ?? "");
    }

    return el("div", { class: "field" }, el("label", { for: id }, is_length ? `${field.label}, ${unit}` : field.label), input, says);
  }

  /**
   * @param {Field} field
   * @param {string} text
   * @returns {Promise<{value?: unknown, fault?: string}>}
   */
  async function valueOf(field, text) {
    if (!text) return field.optional ? { value: undefined } : { fault: "This is needed; write something." };
    if (field.type === "count") return /^\d+$/.test(text) ? { value: Number(text) } : { fault: "Write a whole number, e.g. 6" };
    if (field.type !== "length") return { value: text };
    const { unit } = store.ui();
    const quick = lengthOf(text, unit);
    if (quick !== null) return { value: inUnit(quick, unit) };
    try {
      return { value: inUnit((await server.tape(text, unit)).mm, unit) };
    } catch (fault) {
      return { fault: fault instanceof Error ? fault.message : String(fault) };
    }
  }

  return { make, read: valueOf };
}
