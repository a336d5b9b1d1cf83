/**
 * Elements in one line each. Text goes in as text, never as markup.
 *
 * @typedef {Node|string|null|undefined|false} Child
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [props] `class`, `on<event>`, else attributes; null and false are left out.
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  fill(element, props, children);
  return element;
}

/**
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [props]
 * @param {...Child} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function svg(tag, props = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  fill(element, props, children);
  return element;
}

/**
 * @param {Element} element
 * @param {Record<string, any>} props
 * @param {Child[]} children
 */
function fill(element, props, children) {
  for (const [key, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else element.setAttribute(key, value === true ? "" : String(value));
  }
  for (const child of children) if (child) element.append(child);
}

/**
 * Keep the children of an element in step with what is wanted: what stays as it is is neither made nor moved again.
 * Returns a function that takes what is wanted, and hands back its elements in that order.
 * @template {Element} T
 * @param {Element} parent Nobody else puts children into it.
 */
export function keptChildren(parent) {
  /** @type {Map<string, T>} */
  let kept = new Map();

  /** @param {{key: string, make: () => T}[]} wanted `key` says all that the element depends on. */
  return (wanted) => {
    const before = kept;
    kept = new Map(wanted.map(({ key, make }) => [key, before.get(key) ?? make()]));
    const elements = [...kept.values()];
    const stay = new Set(/** @type {Element[]} */ (elements));
    for (const child of [...parent.children]) if (!stay.has(child)) child.remove();
    elements.forEach((element, number) => {
      if (parent.children[number] !== element) parent.insertBefore(element, parent.children[number] ?? null);
    });
    return elements;
  };
}

/**
 * A picture that the server made, as elements; never scripts or handlers.
 * @param {string} text
 * @returns {Element}
 */
export function picture(text) {
  const read = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (read.nodeName !== "svg") return svg("svg");
  for (const bad of read.querySelectorAll("script, foreignObject")) bad.remove();
  return /** @type {Element} */ (document.importNode(read, true));
}

/**
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no element "${id}"`);
  return found;
}
