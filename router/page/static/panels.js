/**
 * The column beside the plan (below it on a phone): one panel at a time, chosen by a tab.
 *
 * @typedef {{key: string, title: string, element: HTMLElement, order?: number, shown?: () => void}} Panel
 */
import { el } from "./dom.js";

/**
 * @param {HTMLElement} tabs
 * @param {HTMLElement} room
 */
export function createPanels(tabs, room) {
  /** @type {Map<string, Panel & {tab: HTMLButtonElement, count: HTMLElement}>} */
  const panels = new Map();
  const column = /** @type {HTMLElement} */ (room.parentElement);
  let open = "";

  /** @param {string} key */
  function show(key) {
    const panel = panels.get(key);
    if (!panel) return;
    const changed = open !== key;
    open = key;
    for (const each of panels.values()) {
      const is_open = each.key === key;
      each.element.hidden = !is_open;
      each.tab.setAttribute("aria-selected", String(is_open));
      each.tab.tabIndex = is_open ? 0 : -1;
    }
    putAway(false);
    if (changed) room.scrollTop = 0;
    panel.shown?.();
  }

  /**
   * Where panels lie over the plan, their sheet may be put away.
   * @param {boolean} is_away
   */
  function putAway(is_away) {
    column.classList.toggle("away", is_away);
    for (const panel of panels.values()) panel.tab.setAttribute("aria-expanded", String(!is_away && panel.key === open));
  }

  tabs.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const keys = [...tabs.querySelectorAll("button")].map((button) => button.dataset.key ?? "");
    const next = keys[(keys.indexOf(open) + step + keys.length) % keys.length];
    show(next);
    panels.get(next)?.tab.focus();
    event.preventDefault();
    event.stopPropagation();
  });

  return {
    /**
     * Add a panel; `order` says where its tab stands, the least first.
     * @param {Panel} panel
     */
    add(panel) {
      const count = el("span", { class: "count", hidden: true });
      const tab = el("button", {
        type: "button", role: "tab", id: `tab-${panel.key}`, "aria-controls": `panel-${panel.key}`,
        "aria-selected": "false", onclick: () => (open === panel.key ? putAway(!column.classList.contains("away")) : show(panel.key)),
      }, el("span", {}, panel.title), count);
      tab.dataset.key = panel.key;
      tab.dataset.order = String(panel.order ?? 50);
      panel.element.id = `panel-${panel.key}`;
      panel.element.setAttribute("role", "tabpanel");
      panel.element.setAttribute("aria-labelledby", tab.id);
      panel.element.classList.add("panel");
      const after = [...tabs.children].find((each) => Number(/** @type {HTMLElement} */ (each).dataset.order) > (panel.order ?? 50));
      tabs.insertBefore(tab, after ?? null);
      room.append(panel.element);
      panels.set(panel.key, { ...panel, tab, count });
      if (!open) show(panel.key);
      else panel.element.hidden = true;
    },
    open: show,
    putAway,
    /** Show the open panel from its beginning. */
    toTop: () => void (room.scrollTop = 0),
    /** Which panel is open. */
    current: () => open,
    /**
     * Say on a tab how many things wait in its panel; 0 takes it away.
     * @param {string} key
     * @param {number} number
     * @param {string} [words] What is counted, for those who hear the page.
     */
    count(key, number, words = "") {
      const panel = panels.get(key);
      if (!panel) return;
      panel.count.hidden = number === 0;
      panel.count.textContent = String(number);
      panel.count.setAttribute("aria-label", `${number} ${words}`.trim());
    },
  };
}

/** @typedef {ReturnType<typeof createPanels>} Panels */
