/**
 * Fields of forms: a label, what is typed or chosen, and one sentence of help.
 *
 * @typedef {{label: string, help?: string, value?: string, inputmode?: string, key?: string,
 *   change?: (value: string) => void}} FieldWords
 */
import { el } from "./dom.js";

let count = 0;

/**
 * @param {FieldWords} words
 */
export function field({ label, help = "", value = "", inputmode = "text", key = "", change = () => {} }) {
  count += 1;
  const id = `field-${count}`;
  const input = el("input", {
    id, inputmode, autocomplete: "off", spellcheck: "false", "data-key": key || null, "aria-describedby": help ? `${id}-help` : null,
    onchange: () => change(input.value),
  });
  input.value = value;
  const element = el("div", { class: "field" }, el("label", { for: id }, label), input, help && el("small", { id: `${id}-help` }, help));
  return { element, input };
}

/**
 * @param {{label: string, value: string, options: [string, string][], key?: string, change: (value: string) => void}} words
 */
export function pick({ label, value, options, key = "", change }) {
  count += 1;
  const id = `field-${count}`;
  const known = options.some(([each]) => each === value);
  const all = known || !value ? options : /** @type {[string, string][]} */ ([[value, `${value} (not there)`], ...options]);
  const choice = el("select", { id, "data-key": key || null, onchange: () => change(choice.value) },
    ...all.map(([each, words]) => el("option", { value: each }, words)));
  choice.value = value;
  return el("div", { class: "field" }, el("label", { for: id }, label), choice);
}
