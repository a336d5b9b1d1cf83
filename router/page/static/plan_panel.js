/**
 * The plan in words for a fitter: how good, what is in the way, runs, findings, what to measure, what to buy.
 *
 * @typedef {import("./plans.js").Plans} Plans
 * @typedef {import("./plans.js").Shown} Shown
 * @typedef {import("./way_words.js").Plan} Plan
 * @typedef {import("./way_words.js").PlannedRun} PlannedRun
 * @typedef {import("./types.js").Point} Point
 * @typedef {{store: import("./store.js").Store, plans: Plans, lead: (place: Point, space?: string|null) => void,
 *   leadTo: (path: import("./types.js").Path, file: "profile"|"job") => void}} Means
 */
import { el } from "./dom.js";
import { measureRows } from "./measure_words.js";
import { otherKey } from "./plans.js";
import * as words from "./way_words.js";

/** @param {Means} means */
export function createPlanPanel(means) {
  const { store, plans } = means;
  const head = el("div", { class: "plan-head", role: "status" });
  const body = el("div", { class: "plan-body" });
  const element = el("section", { class: "plan-panel" }, head, body);
  const unit = () => store.state()?.files.profile.unit ?? "mm";

  function draw() {
    const shown = plans.get();
    const { answer } = shown;
    drawHead(head, answer, measureRows(store.state(), answer.plan).now.length);
    const open = opened(body);
    body.replaceChildren(...sections(means, shown, unit()));
    reopen(body, open);
  }

  plans.subscribe((now, before) => {
    if (now.answer !== before.answer || now.others !== before.others || now.spot !== before.spot) draw();
  });
  store.subscribe((now, before) => {
    if (now.state?.tasks !== before.state?.tasks || now.state?.files.profile.unit !== before.state?.files.profile.unit) draw();
  });
  draw();
  return element;
}

/**
 * Whether to start stands first; what is proven of the effort is small, as it says nothing about safety.
 * @param {HTMLElement} head
 * @param {import("./way_words.js").PlanAnswer} answer
 * @param {number} toMeasure
 */
function drawHead(head, answer, toMeasure) {
  const { plan, stage, no_way: noWay } = answer;
  const verdict = plan && !noWay && words.VERDICT_STAGES.includes(stage) ? words.verdictOf(plan, toMeasure) : null;
  head.className = `plan-head ${noWay ? "no-way-through" : stage} ${verdict?.weight ?? ""}`.trim();
  const said = words.headline(answer);
  head.replaceChildren(...(verdict ? [el("p", { class: "verdict" }, verdict.says), el("p", { class: "small" }, said)] : [el("p", {}, said)]));
}

/**
 * @param {Means} means
 * @param {Shown} shown
 * @param {string} unit
 */
function sections(means, shown, unit) {
  const { answer, spot } = shown;
  const { plan } = answer;
  const said = plan || answer.no_way ? "" : answer.says ?? "";
  return [
    said && el("p", {}, said),
    answer.no_way && noWaySection(means, answer.no_way),
    plan && spot && whySection(plan, spot, unit),
    plan && runSection(means, shown, plan, unit),
    plan && findingSection(means, plan, unit),
    plan && measureSection(means, plan),
    plan && billSection(plan),
  ].filter((each) => each instanceof HTMLElement);
}

/**
 * @param {Means} means
 * @param {import("./way_words.js").NoWay} noWay
 */
function noWaySection({ lead }, noWay) {
  const { at, space = null } = noWay.pinch ?? { at: null };
  return el("section", { class: "no-way" },
    el("h2", {}, "Where it is too narrow"),
    el("p", {}, noWay.says),
    at && el("button", { type: "button", class: "wide", onclick: () => lead(at, space) }, "Show me the place"),
    el("h2", {}, "What would open it"),
    noWay.cures.length ? el("ul", { class: "plain" }, ...noWay.cures.map((cure) => el("li", {}, cure)))
      : el("p", {}, "No single change that was tried opens a way. Move an end of the run, or measure the narrow place again."),
  );
}

/**
 * @param {Plan} plan
 * @param {import("./plans.js").Spot} spot
 * @param {string} unit
 */
function whySection(plan, spot, unit) {
  const run = plan.runs.find((each) => each.name === spot.run);
  if (!run) return null;
  const reasons = words.reasonsAt(run, spot.station);
  return el("section", { class: "why", "aria-live": "polite" },
    el("h2", {}, `Why here: ${run.name}, ${words.tapeWords(spot.station, unit)} from the start`),
    reasons.length ? el("ul", { class: "plain" }, ...reasons.map((reason) => reasonItem(reason, unit)))
      : el("p", {}, "Nothing turns it here: it is the straight way on."),
  );
}

/**
 * @param {import("./way_words.js").Reason} reason
 * @param {string} unit
 */
function reasonItem(reason, unit) {
  return el("li", {}, el("span", { class: "station" }, words.stretchWords(reason, unit)), ` ${reason.why}`);
}

/**
 * @param {Means} means
 * @param {Plan} plan
 * @param {string} unit
 */
function findingSection(means, plan, unit) {
  const ranked = words.rankedFindings(plan);
  const count = words.findingCount(plan);
  return el("section", {},
    el("h2", {}, count ? `Findings: ${count}` : "Findings"),
    ranked.length ? el("ol", { class: "findings" }, ...ranked.map(({ finding, at }) => findingItem(means, finding, at, unit)))
      : el("p", {}, "None: nothing speaks against this way."),
  );
}

/**
 * @param {Means} means
 * @param {import("./way_words.js").Finding} finding
 * @param {import("./stations.js").WayPoint|null} at
 * @param {string} unit
 */
function findingItem({ lead, plans }, finding, at, unit) {
  const station = finding.station;
  const where = finding.run ? `${finding.run}${station === null ? "" : `, ${words.tapeWords(station, unit)}`}: ` : "";
  const meaning = /** @type {Record<string, string>} */ (words.WEIGHT_WORDS)[finding.severity] ?? "";
  const content = [
    el("span", { class: `weight ${finding.severity}`, title: meaning }, finding.severity),
    el("span", {}, `${where}${finding.what}`),
  ];
  if (!at) return el("li", {}, el("div", { class: "finding" }, ...content));
  const go = () => {
    plans.show({ hint: [at.x, at.y] });
    lead([at.x, at.y], at.space);
  };
  return el("li", {}, el("button", { type: "button", class: "finding", onclick: go }, ...content));
}

/**
 * @param {Means} means
 * @param {Shown} shown
 * @param {Plan} plan
 * @param {string} unit
 */
function runSection(means, shown, plan, unit) {
  return el("section", {}, el("h2", {}, "Runs"), ...plan.runs.map((run) => runItem(means, shown, plan, run, unit)));
}

/**
 * @param {Means} means
 * @param {Shown} shown
 * @param {Plan} plan
 * @param {PlannedRun} run
 * @param {string} unit
 */
function runItem(means, shown, plan, run, unit) {
  const warning = words.cutWarning(run, plan, unit);
  const facts = words.runFacts(run, unit, warning).flatMap(([term, said]) => [el("dt", {}, term), el("dd", {}, said)]);
  return el("details", { class: "run", "data-key": `run ${run.name}` },
    el("summary", {}, el("strong", {}, run.name), el("span", {}, ` ${run.from} to ${run.to}, cut at ${words.tapeWords(run.cut_mm, unit)}`),
      warning && el("span", { class: "do-not-cut" }, `${warning[0].toUpperCase()}${warning.slice(1)}`)),
    el("dl", { class: "facts" }, ...facts),
    el("details", { "data-key": `why ${run.name}` }, el("summary", {}, "Why it lies there"),
      el("ol", { class: "plain" }, ...run.reasons.map((reason) => reasonItem(reason, unit)))),
    othersItem(means, shown, run, unit),
  );
}

/**
 * The other ways beside the chosen one, each with what it costs; shown and hidden on the drawing.
 * @param {Means} means
 * @param {Shown} shown
 * @param {PlannedRun} run
 * @param {string} unit
 */
function othersItem(means, shown, run, unit) {
  if (!run.alternatives.length) return null;
  const cards = run.alternatives.map((other, number) => otherCard(means, shown, run, other, number, unit));
  return el("details", { "data-key": `others ${run.name}` },
    el("summary", {}, `Other ways: ${run.alternatives.length}`),
    el("div", { class: "others" },
      el("article", {}, el("h3", {}, "The chosen way"), el("p", {}, words.tapeWords(run.routed_mm, unit))), ...cards));
}

/**
 * @param {Means} means
 * @param {Shown} shown
 * @param {PlannedRun} run
 * @param {import("./way_words.js").Alternative} other
 * @param {number} number
 * @param {string} unit
 */
function otherCard({ plans }, shown, run, other, number, unit) {
  const key = otherKey(run, number);
  const isShown = shown.others.includes(key);
  const said = words.alternativeWords(other, unit);
  return el("article", {},
    el("h3", {}, `Another way ${number + 1}`),
    el("p", {}, `${said.length}, ${said.effort}`),
    el("h4", {}, "What differs"), el("ul", { class: "plain" }, ...said.differs.map((each) => el("li", {}, each))),
    el("h4", {}, "What it costs"), el("ul", { class: "plain" }, ...said.worse.map((each) => el("li", {}, each))),
    el("button", { type: "button", class: "wide", "aria-pressed": String(isShown), "data-focus": key, onclick: () => plans.toggle(key) },
      isShown ? "Hide on the drawing" : "Show on the drawing"),
  );
}

/**
 * @param {Means} means
 * @param {Plan|null} plan
 */
function measureSection({ store, leadTo }, plan) {
  const { now, missing, later } = measureRows(store.state(), plan);
  if (!now.length && !missing.length && !later.length) return null;
  const list = (/** @type {import("./measure_words.js").MeasureRow[]} */ rows) => el("ol", { class: "findings" }, ...rows.map((row) =>
    el("li", {}, el("button", { type: "button", class: "finding", onclick: () => leadTo(row.path, row.file) },
      el("span", { class: "weight assumed" }, row.mark), el("span", {}, `${row.what}; ${row.why}`)))));
  return el("section", {},
    el("h2", {}, now.length ? `Measure first: ${now.length}` : "Still to measure"),
    now.length > 0 && el("p", { class: "quiet" }, "The plan hangs on these: measured, they let the way lie closer."),
    !now.length && el("p", {}, "The plan hangs on nothing that is assumed."),
    now.length > 0 && list(now),
    missing.length > 0 && el("p", { class: "quiet" }, `Not said yet: ${missing.length}`),
    missing.length > 0 && list(missing),
    later.length > 0 && el("details", { class: "run", "data-key": "later" }, el("summary", {}, `May stay assumed for now: ${later.length}`), list(later)));
}

/** @param {Plan} plan */
function billSection(plan) {
  const rows = words.billRows(plan).map((row) => el("tr", {},
    el("td", { class: "number" }, row.quantity), el("th", { scope: "row" }, row.item), el("td", {}, row.spec)));
  return el("details", { "data-key": "bill" }, el("summary", {}, `Bill: ${rows.length} lines`),
    el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Bill" },
      el("table", {},
        el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "How much"), el("th", { scope: "col" }, "What"), el("th", { scope: "col" }, "Which"))),
        el("tbody", {}, ...rows))));
}

/**
 * What is unfolded, and what has the focus, by keys, so that drawing anew closes nothing under a person's hands.
 * @param {HTMLElement} body
 */
function opened(body) {
  const focused = document.activeElement;
  return {
    keys: [...body.querySelectorAll("details[open]")].map((each) => each.getAttribute("data-key")),
    focus: focused instanceof HTMLElement && body.contains(focused) ? focusKey(focused) : null,
  };
}

/**
 * @param {HTMLElement} body
 * @param {{keys: (string|null)[], focus: string|null}} open
 */
function reopen(body, open) {
  for (const each of body.querySelectorAll("details")) each.open = open.keys.includes(each.getAttribute("data-key"));
  if (!open.focus) return;
  const again = [.../** @type {NodeListOf<HTMLElement>} */ (body.querySelectorAll("button, summary"))];
  again.find((each) => focusKey(each) === open.focus)?.focus();
}

/** @param {HTMLElement} element */
function focusKey(element) {
  const fold = element.closest("details")?.getAttribute("data-key") ?? "";
  return `${fold}: ${element.getAttribute("data-focus") ?? element.textContent}`;
}
