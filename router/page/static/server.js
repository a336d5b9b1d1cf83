/**
 * Talks with the server. Edits go one after the other; what is not acknowledged is kept in this window and sent
 * again, so that nothing typed is lost while the server is away.
 *
 * @typedef {import("./types.js").State} State
 * @typedef {import("./types.js").Edit} Edit
 * @typedef {import("./store.js").Store} Store
 * @typedef {{group: string|null, edits: Edit[], seen: (string|undefined)[]}} Waiting `seen`: what stood there.
 * @typedef {{what: string, name?: string}} Said
 * @typedef {{kept?: Pick<Storage, "getItem"|"setItem"|"removeItem">|null, ask?: typeof fetch, pause?: number}} Means
 */
import { valueAt } from "./edits.js";

const KEPT = "not yet acknowledged";
const ELSEWHERE = "That part was changed elsewhere in the meantime, so your change was not made. Look at it again.";
const PART_DEPTH = 2; // a section and a part in it: ["keep-outs", 3]

/** What the server refused, in its words. */
export class Refused extends Error {
  /**
   * @param {number} status
   * @param {any} body
   */
  constructor(status, body) {
    const faults = /** @type {Said[]} */ (body?.faults ?? (body?.what ? [body] : []));
    super(faults.map((fault) => fault.what).join(" ") || "The server could not do that.");
    this.status = status;
    this.body = body;
    this.faults = faults;
  }
}

/**
 * @param {string} token
 * @param {Store} store
 * @param {Means} [means] Kept where tests put their own.
 */
export function createServer(token, store, means = {}) {
  const ask = means.ask ?? ((input, init) => fetch(input, init));
  const kept = means.kept === undefined ? sessionStorage : means.kept;
  const pause = means.pause ?? 1000;
  /** @type {Waiting[]} */
  let waiting = [];
  let sending = false;
  let asked = 0; // undos and redos that are not answered yet
  /** @type {Promise<void>} */
  let stepping = Promise.resolve();
  /** @type {Set<(what: {away?: boolean, refused?: string, waiting: number}) => void>} */
  const watchers = new Set();

  /** @param {{away?: boolean, refused?: string}} what */
  function tell(what) {
    for (const watcher of watchers) watcher({ ...what, waiting: waiting.length + asked });
  }

  function keep() {
    if (!kept) return;
    if (waiting.length) kept.setItem(KEPT, JSON.stringify(waiting));
    else kept.removeItem(KEPT);
  }

  /**
   * @param {string} path
   * @param {unknown} [body] A POST with it; a GET without.
   * @returns {Promise<any>}
   */
  async function call(path, body) {
    /** @type {Record<string, string>} */
    const headers = { "X-Sketch-Token": token };
    if (body !== undefined) headers["Content-Type"] = "application/json";
    const method = body === undefined ? "GET" : "POST";
    const answer = await ask(path, { method, headers, body: body === undefined ? undefined : JSON.stringify(body) });
    const is_json = (answer.headers.get("Content-Type") ?? "").includes("json");
    const content = is_json ? await answer.json() : await answer.text();
    if (!answer.ok) throw new Refused(answer.status, is_json ? content : { what: String(content) });
    return content;
  }

  const revision = () => store.state()?.revision ?? 0;

  /** Send what waits, oldest first, until nothing waits or the server is away. */
  async function drain() {
    if (sending) return;
    sending = true;
    try {
      while (waiting.length) {
        if (!(await sendFirst())) return;
      }
    } finally {
      sending = false;
    }
  }

  async function sendFirst() {
    const [first] = waiting;
    if (!stillFits(first)) return refuse(ELSEWHERE);
    try {
      const state = await call("/edit", { revision: revision(), group: first.group, edits: first.edits });
      store.take(state);
      settle();
      tell({ away: false });
      return true;
    } catch (fault) {
      return after(fault);
    }
  }

  function settle() {
    waiting = waiting.slice(1).map((each) => ({ ...each, seen: each.edits.map(partAt) }));
    keep();
  }

  /**
   * Say what became of an edit that was not made; false where it waits.
   * @param {unknown} fault
   */
  function after(fault) {
    if (!(fault instanceof Refused)) {
      tell({ away: true });
      setTimeout(() => void drain(), pause);
      return false;
    }
    if (fault.status === 409) {
      const before = revision();
      store.take(fault.body.state);
      if (fault.body.state.outside) return false; // a question stands; it goes on once that is answered
      if (revision() > before) return true;
    }
    return refuse(fault.status === 409 ? ELSEWHERE : fault.message);
  }

  /** @param {string} refused */
  function refuse(refused) {
    settle();
    tell({ refused });
    return true;
  }

  /**
   * Whether every edit still meets what it was made for, though something else has changed meanwhile.
   * @param {Waiting} first
   */
  function stillFits(first) {
    return first.edits.every((edit, number) => first.seen[number] === partAt(edit));
  }

  /**
   * @param {Edit} edit
   * @returns {string|undefined}
   */
  function partAt(edit) {
    const data = store.state()?.data[edit.file];
    const at = edit.op === "add" ? edit.path.slice(0, 0) : edit.path.slice(0, PART_DEPTH);
    return at.length ? JSON.stringify(valueAt(data, at)) : undefined;
  }

  return {
    call,
    revision,
    /** Edits that are not acknowledged yet. */
    waiting: () => waiting.length,
    /**
     * Watch what becomes of edits: the server away, an edit refused.
     * @param {(what: {away?: boolean, refused?: string, waiting: number}) => void} watcher
     */
    watch(watcher) {
      watchers.add(watcher);
      return () => watchers.delete(watcher);
    },
    /** Take the state as it is now, and send what an earlier page could not. */
    async begin() {
      store.take(await call("/state"));
      waiting = JSON.parse(kept?.getItem(KEPT) ?? "[]");
      await drain();
    },
    /** Take the state as it is now. */
    async refresh() {
      store.take(await call("/state"));
    },
    /**
     * Change the files. Edits with the same group in a row are one step of undo.
     * @param {Edit[]} edits
     * @param {string|null} [group]
     */
    async edit(edits, group = null) {
      if (!edits.length) return;
      waiting = [...waiting, { group, edits, seen: edits.map(partAt) }];
      keep();
      tell({});
      await drain();
    },
    undo: () => afterOthers("/undo"),
    redo: () => afterOthers("/redo"),
    /**
     * Answer what stands when another program changed a file.
     * @param {string} file
     * @param {"mine"|"theirs"} keep_
     */
    async outside(file, keep_) {
      store.take(await call("/outside", { file, keep: keep_ }));
      await drain();
    },
    types: () => call("/types"),
    /** @returns {Promise<{key: string, name: string}[]>} */
    library: () => call("/library"),
    /**
     * Begin with a copy of one of the library's profiles.
     * @param {string} profile
     */
    async copy(profile) {
      store.take(await call("/start", { revision: revision(), profile }));
    },
    /**
     * @param {string} type
     * @param {Record<string, string>} answers
     * @param {string} name
     */
    async start(type, answers, name) {
      store.take(await call("/start", { revision: revision(), type, answers, name }));
    },
    /**
     * A length as people write it, judged by the server.
     * @param {string} text
     * @param {string} unit
     * @returns {Promise<{mm: number, says: string}>}
     */
    tape: (text, unit) => call("/tape", { text, unit }),
    /**
     * Listen to what happens elsewhere.
     * @param {Partial<Record<"state"|"plan"|"outside"|"bye", (data: any) => void>>} on
     */
    listen(on) {
      const events = new EventSource(`/events?token=${encodeURIComponent(token)}`);
      for (const [name, act] of Object.entries(on)) {
        events.addEventListener(name, (event) => act(JSON.parse(/** @type {MessageEvent} */ (event).data || "{}")));
      }
      events.addEventListener("open", () => void drain());
      return events;
    },
  };

  /**
   * Undo or redo, one after the other however fast they are asked for.
   * @param {string} path
   */
  function afterOthers(path) {
    asked += 1;
    tell({});
    stepping = stepping.then(() => step(path)).finally(() => {
      asked -= 1;
      tell({});
    });
    return stepping;
  }

  /** @param {string} path */
  async function step(path) {
    await drain();
    try {
      store.take(await call(path, { revision: revision() }));
    } catch (fault) {
      if (!(fault instanceof Refused)) return tell({ away: true });
      if (fault.status === 409 && fault.body.state) store.take(fault.body.state);
      else tell({ refused: fault.message });
    }
  }
}

/** @typedef {ReturnType<typeof createServer>} Server */
