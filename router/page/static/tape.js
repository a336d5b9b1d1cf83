/**
 * Lengths as people write and read them off a tape. Quick, for forms; the server decides. Pure.
 *
 * @typedef {import("./types.js").Unit} Unit
 */

/** @type {Record<string, number>} */
export const MM_IN = { mm: 1, cm: 10, m: 1000, in: 25.4, ft: 304.8 };

const NUMBER = String.raw`[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)`;
const FRACTION = String.raw`(?:(\d+)[\s-]+)?(\d+)\s*/\s*(\d+)`;
const METRIC = new RegExp(`^(${NUMBER})\\s*(mm|cm|m|in|inch|inches|ft|"|'|″|′)?$`, "i");
const BROKEN = new RegExp(`^([+-]?)${FRACTION}\\s*(in|inch|inches|"|″)?$`, "i");
const FEET = new RegExp(`^([+-]?)(\\d+)\\s*(?:ft|'|′)\\s*(?:(.+?)\\s*(?:in|inch|inches|"|″)?)?$`, "i");
/** @type {Record<string, string>} */
const SIGNS = { '"': "in", "″": "in", inch: "in", inches: "in", "'": "ft", "′": "ft" };

/**
 * A length in mm; null where it cannot be read without guessing.
 * @param {string} text
 * @param {string} unit What a bare number is in.
 * @returns {number|null}
 */
export function lengthOf(text, unit) {
  const words = text.trim().replace(/\u2212/g, "-").replace(/\s+/g, " ");
  return metric(words, unit) ?? broken(words, unit) ?? feet(words);
}

/**
 * @param {string} words
 * @param {string} unit
 */
function metric(words, unit) {
  const found = METRIC.exec(words);
  if (!found) return null;
  const sign = (found[2] ?? unit).toLowerCase();
  if (sign !== "m" && /^[+-]?\d{1,3}[.,]\d{3}$/.test(found[1])) return null; // 1,650: a thousand, or one and a half?
  return Number(found[1].replace(",", ".")) * MM_IN[SIGNS[sign] ?? sign];
}

/**
 * @param {string} words
 * @param {string} unit
 */
function broken(words, unit) {
  const found = BROKEN.exec(words);
  if (!found || (!found[5] && unit !== "in") || Number(found[4]) === 0) return null;
  const inches = Number(found[2] ?? 0) + Number(found[3]) / Number(found[4]);
  return (found[1] === "-" ? -1 : 1) * inches * MM_IN.in;
}

/** @param {string} words */
function feet(words) {
  const found = FEET.exec(words);
  if (!found) return null;
  const inches = found[3] ? metric(found[3], "in") ?? broken(found[3], "in") : 0;
  if (inches === null || inches < 0 || inches >= MM_IN.ft) return null;
  return (found[1] === "-" ? -1 : 1) * (Number(found[2]) * MM_IN.ft + inches);
}

/**
 * A length as the file writes it: "60 mm", "2.5 in".
 * @param {number} mm
 * @param {string} unit
 */
export function inUnit(mm, unit) {
  const digits = { mm: 1, cm: 2, m: 4, in: 3, ft: 4 }[unit] ?? 1;
  return `${number(mm / (MM_IN[unit] ?? 1), digits)} ${unit in MM_IN ? unit : "mm"}`;
}

/**
 * A length as a tape shows it, without its unit: 1650, or 64 15/16 in inches.
 * @param {number} mm
 * @param {string} unit
 */
export function onTape(mm, unit) {
  if (unit !== "in") return number(mm / (MM_IN[unit] ?? 1), unit === "mm" ? 0 : 1);
  const sixteenths = Math.round(Math.abs(mm) / 25.4 * 16);
  const sign = mm < 0 && sixteenths ? "-" : "";
  const [whole, rest] = [Math.floor(sixteenths / 16), sixteenths % 16];
  if (!rest) return `${sign}${whole}`;
  const shared = [8, 4, 2, 1].find((each) => rest % each === 0) ?? 1;
  return `${sign}${whole ? `${whole} ` : ""}${rest / shared}/${16 / shared}`;
}

/**
 * With its unit, for reading.
 * @param {number} mm
 * @param {string} unit
 */
export function said(mm, unit) {
  return `${onTape(mm, unit)} ${unit}`;
}

/**
 * @param {number} value
 * @param {number} digits
 */
function number(value, digits) {
  return String(Number(value.toFixed(digits)) + 0);
}
