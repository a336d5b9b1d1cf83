/** Puts the page together. Whoever adds a panel, a layer or a tool does it here, in one line. */
import { byId } from "./dom.js";
import { createDrawing } from "./drawing.js";
import { createHandles } from "./handles.js";
import { createHead } from "./head.js";
import { createHelp } from "./help.js";
import { createJob } from "./job.js";
import { listenToKeys } from "./keys.js";
import { createLists } from "./lists.js";
import { createNotices } from "./notices.js";
import { createPanels } from "./panels.js";
import { createPartForm } from "./part_form.js";
import { drawParts } from "./plan_parts.js";
import { createPlanView } from "./plan_view.js";
import { createPlans } from "./plans.js";
import { createServer } from "./server.js";
import { createSideView } from "./side_view.js";
import { createStart } from "./start.js";
import { createStore } from "./store.js";
import { keepUnit } from "./units.js";

/**
 * What every part of the page gets; those that come later are there once the page stands.
 * @typedef {object} Page
 * @property {import("./store.js").Store} store
 * @property {import("./server.js").Server} server
 * @property {import("./panels.js").Panels} panels
 * @property {import("./plan_view.js").PlanView} plan
 * @property {import("./plan_parts.js").PlanParts} parts
 * @property {import("./plans.js").Plans} plans
 * @property {import("./head.js").Head} [head]
 * @property {import("./handles.js").Handles} [handles]
 * @property {import("./part_form.js").PartForm} [form]
 * @property {import("./drawing.js").Drawing} [drawing]
 * @property {import("./lists.js").Lists} [lists]
 * @property {import("./help.js").Help} [help]
 * @property {import("./start.js").Start} [start]
 */

/** @returns {Page} */
function assemble() {
  const token = document.querySelector('meta[name="sketch-token"]')?.getAttribute("content") ?? "";
  const store = createStore();
  const server = createServer(token, store);
  const panels = createPanels(byId("tabs"), byId("panels"));
  const plan = createPlanView(byId("plan"));
  const parts = drawParts(plan, store);
  return { store, server, panels, plan, parts, plans: createPlans(server) };
}

const SAID_MS = 8000;

const page = assemble();
keepUnit(page.store);
page.start = createStart(page);
page.head = createHead(page);
page.form = createPartForm(page);
page.drawing = createDrawing(page);
page.lists = createLists(page);
page.handles = createHandles(page);
page.help = createHelp();
const job = createJob(page);
const notices = createNotices(page);
createSideView(page);
listenToKeys(page);
/** @type {ReturnType<typeof setTimeout>|undefined} */
let fading;
page.store.subscribe((now, before) => {
  if (now.ui.says === before.ui.says) return;
  byId("says").textContent = now.ui.says;
  clearTimeout(fading);
  fading = setTimeout(() => page.store.show({ says: "" }), SAID_MS);
});

try {
  await page.server.begin();
  job.begin();
  if (!page.store.state()?.files.profile.there) await page.start.open();
} catch {
  notices.away(true);
}

if (matchMedia("(max-width: 900px) and (orientation: portrait), (max-width: 620px)").matches) page.panels.putAway(true);

const events = page.server.listen({
  state: ({ revision }) => {
    if (revision > page.server.revision()) void page.server.refresh();
  },
  plan: job.planned,
  outside: () => void page.server.refresh(),
  bye: () => notices.away(true),
});
events.addEventListener("open", () => {
  notices.away(false);
  job.planned();
});
events.addEventListener("error", () => notices.away(true));
