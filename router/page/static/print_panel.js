/**
 * What can be printed: each opens in a tab of its own; what is not there yet says why.
 *
 * @typedef {{key: string, title: string, says: string, path: string, needs: "plan"|"profile"}} Paper
 */
import { el } from "./dom.js";
import { pick } from "./job_fields.js";
import { headline } from "./way_words.js";

/** @type {Paper[]} */
const PAPERS = [
  { key: "map", title: "Map", says: "The vehicle to scale with every run, fixing and clearance.", path: "/map.svg", needs: "plan" },
  { key: "sheet", title: "Sheet", says: "The whole work, step by step, with the map in it.", path: "/sheet.html", needs: "plan" },
  { key: "circuit", title: "Circuit", says: "What is joined to what: colours, sizes, fuses.", path: "/circuit.svg", needs: "plan" },
  { key: "bill", title: "Bill", says: "What to buy, as a table for a spreadsheet.", path: "/bill.csv", needs: "plan" },
  { key: "measuring", title: "Measuring sheet", says: "What to measure under the vehicle, with boxes to write in.", path: "/measuring-sheet.html", needs: "profile" },
];

/**
 * @param {{store: import("./store.js").Store, plans: import("./plans.js").Plans, address: (path: string) => string}} means
 *   `address`: an address that a tab of its own may open
 */
export function createPrintPanel({ store, plans, address }) {
  let paper = "a4";
  const list = el("ul", { class: "papers" });
  const size = pick({ label: "Paper of the measuring sheet", value: paper, options: [["a4", "A4"], ["letter", "Letter"]],
    change: (value) => { paper = value; draw(); } });
  const element = el("section", { class: "print-panel" },
    el("p", {}, "Each opens in a tab of its own; print it from there."), list, size);

  function draw() {
    list.replaceChildren(...PAPERS.map((each) => el("li", {}, paperItem(each))));
  }

  /** @param {Paper} each */
  function paperItem(each) {
    const missing = whyNot(each);
    const words = [el("strong", {}, each.title), el("span", {}, missing ?? each.says)];
    if (missing) return el("div", { class: "paper missing" }, ...words);
    return el("a", { class: "paper", href: address(query(each)), target: "_blank", rel: "noopener" }, ...words);
  }

  /** @param {Paper} each */
  function query({ path, needs }) {
    const unit = store.state()?.files.profile.unit === "in" ? "in" : "mm";
    return needs === "profile" ? `${path}?paper=${paper}&unit=${unit}` : path;
  }

  /** @param {Paper} each */
  function whyNot({ needs }) {
    const { answer } = plans.get();
    if (!store.state()?.data.profile) return "There is no vehicle yet.";
    if (needs === "profile") return null;
    if (answer.no_way) return "There is no way through yet: the plan says where it is too narrow.";
    if (answer.stage === "proof") return null;
    if (answer.stage === "answer") return "The plan is still being proven; this is there with the proof.";
    return answer.says || headline(answer);
  }

  plans.subscribe((now, before) => now.answer !== before.answer && draw());
  store.subscribe((now, before) => now.state !== before.state && draw());
  draw();
  return element;
}
