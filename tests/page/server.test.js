/** Edits reach the server once each and in order, or are kept; what changed elsewhere is not written over. */
import assert from "node:assert/strict";
import { test } from "node:test";
import { createServer } from "../../router/page/static/server.js";
import { createStore } from "../../router/page/static/store.js";

/** @typedef {import("../../router/page/static/types.js").State} State */
/** @typedef {import("../../router/page/static/types.js").Edit} Edit */

/** @param {number} revision @param {any} profile @returns {State} */
const stateOf = (revision, profile) => ({
  revision, can_undo: false, can_redo: false, folder: "", shapes: [], faults: [], tasks: [], outside: null,
  files: { profile: { there: true }, job: { there: false } }, data: { profile, job: null },
});

/** A place to keep things, as a browser has. */
function memory() {
  /** @type {Map<string, string>} */
  const kept = new Map();
  return {
    kept,
    getItem: (/** @type {string} */ key) => kept.get(key) ?? null,
    setItem: (/** @type {string} */ key, /** @type {string} */ value) => void kept.set(key, value),
    removeItem: (/** @type {string} */ key) => void kept.delete(key),
  };
}

/**
 * A server with a profile of two keep-outs that changes as it is told, or answers as it is told.
 */
function stand() {
  const store = createStore();
  const storage = memory();
  /** @type {{path: string, body: any}[]} */
  const asked = [];
  const world = { revision: 1, profile: /** @type {any} */ ({ "keep-outs": [{ name: "a", width: 1 }, { name: "b", width: 1 }] }), away: false, fault: "", undone: /** @type {number[]} */ ([]), outside: /** @type {{file: string}|null} */ (null) };
  const answer = (/** @type {number} */ status, /** @type {any} */ body) =>
    new Response(JSON.stringify(body), { status, headers: { "Content-Type": "application/json" } });
  const now = () => ({ ...stateOf(world.revision, structuredClone(world.profile)), outside: world.outside });
  const ask = async (/** @type {any} */ path, /** @type {any} */ init) => {
    const body = init?.body ? JSON.parse(init.body) : undefined;
    asked.push({ path, body });
    await null;
    if (world.away) throw new TypeError("network");
    if (path === "/state") return answer(200, now());
    if (path === "/outside") world.outside = null;
    if (world.outside) return answer(409, { revision: world.revision, state: now() });
    if (path === "/outside") return answer(200, now());
    if (world.fault) return answer(422, { faults: [{ what: world.fault }] });
    if (path === "/undo") world.undone.push(body.revision);
    if (body.revision !== world.revision) return answer(409, { revision: world.revision, state: now() });
    for (const edit of body.edits ?? []) world.profile["keep-outs"][edit.path[1]][edit.path[2]] = edit.value;
    world.revision += 1;
    return answer(200, now());
  };
  const server = createServer("T", store, { ask, kept: storage, pause: 5 });
  return { store, storage, asked, world, server };
}

/** @param {number} number @param {unknown} value @returns {Edit} */
const widen = (number, value) => ({ file: "profile", op: "set", path: ["keep-outs", number, "width"], value });

test("every call carries the token, and edits their revision and group", async () => {
  const { server, asked } = stand();
  await server.begin();
  await server.edit([widen(0, 2)], "drag");
  assert.deepEqual(asked[1], { path: "/edit", body: { revision: 1, group: "drag", edits: [widen(0, 2)] } });
});

test("edits made in a hurry go one after the other, each on the newest revision", async () => {
  const { server, asked, world, store } = stand();
  await server.begin();
  await Promise.all([server.edit([widen(0, 2)]), server.edit([widen(0, 3)]), server.edit([widen(1, 9)])]);
  await new Promise((done) => setTimeout(done, 20));
  assert.deepEqual(asked.slice(1).map((each) => each.body.revision), [1, 2, 3]);
  assert.deepEqual(world.profile["keep-outs"].map((/** @type {any} */ each) => each.width), [3, 9]);
  assert.equal(server.waiting(), 0);
  assert.equal(store.state()?.revision, 4);
});

test("undo pressed three times in a hurry is three steps, each on the newest revision", async () => {
  const { server, world, store } = stand();
  await server.begin();
  await Promise.all([server.undo(), server.undo(), server.undo()]);
  assert.deepEqual(world.undone, [1, 2, 3]);
  assert.equal(store.state()?.revision, 4);
});

test("while the server is away edits are kept, and sent when it is back", async () => {
  const { server, world, storage } = stand();
  await server.begin();
  /** @type {boolean[]} */
  const away = [];
  server.watch((what) => void (what.away !== undefined && away.push(what.away)));
  world.away = true;
  await server.edit([widen(0, 7)]);
  assert.equal(server.waiting(), 1);
  assert.equal(storage.kept.size, 1);
  world.away = false;
  await new Promise((done) => setTimeout(done, 40));
  assert.equal(world.profile["keep-outs"][0].width, 7);
  assert.equal(storage.kept.size, 0);
  assert.deepEqual([away[0], away.at(-1)], [true, false]);
});

test("what an earlier page could not send is sent by the next one", async () => {
  const { world, storage, asked, store } = stand();
  storage.setItem("not yet acknowledged", JSON.stringify([{ group: null, edits: [widen(1, 5)], seen: [JSON.stringify({ name: "b", width: 1 })] }]));
  const ask = async (/** @type {any} */ path, /** @type {any} */ init) => {
    asked.push({ path, body: init.body && JSON.parse(init.body) });
    if (init.body) world.profile["keep-outs"][1].width = JSON.parse(init.body).edits[0].value;
    return new Response(JSON.stringify(stateOf(2, world.profile)), { headers: { "Content-Type": "application/json" } });
  };
  await createServer("T", store, { ask, kept: storage }).begin();
  assert.equal(world.profile["keep-outs"][1].width, 5);
});

test("another part changed elsewhere: the edit is made on top", async () => {
  const { server, world } = stand();
  await server.begin();
  world.revision = 8;
  world.profile["keep-outs"][1].width = 44;
  await server.edit([widen(0, 2)]);
  assert.deepEqual(world.profile["keep-outs"].map((/** @type {any} */ each) => each.width), [2, 44]);
});

test("the same part changed elsewhere: it stands, and it is said", async () => {
  const { server, world, store } = stand();
  await server.begin();
  world.revision = 8;
  world.profile["keep-outs"][0].width = 44;
  /** @type {string[]} */
  const refused = [];
  server.watch((what) => void (what.refused && refused.push(what.refused)));
  await server.edit([widen(0, 2)]);
  assert.equal(world.profile["keep-outs"][0].width, 44);
  assert.equal(store.state()?.data.profile?.["keep-outs"][0].width, 44);
  assert.match(refused.join(), /changed elsewhere/);
  assert.equal(server.waiting(), 0);
});

test("while it is asked which of two files stands, edits wait, and are made once it is answered", async () => {
  const { server, world, asked } = stand();
  await server.begin();
  world.outside = { file: "profile" };
  await server.edit([widen(0, 6)]);
  assert.equal(server.waiting(), 1);
  assert.equal(asked.filter((each) => each.path === "/edit").length, 1);
  await server.outside("profile", "mine");
  assert.equal(world.profile["keep-outs"][0].width, 6);
  assert.equal(server.waiting(), 0);
});

test("if the other program's file stands, an edit of a part that it changed is not made", async () => {
  const { server, world } = stand();
  await server.begin();
  world.outside = { file: "profile" };
  await server.edit([widen(0, 6)]);
  world.revision = 9;
  world.profile["keep-outs"][0].width = 77;
  await server.outside("profile", "theirs");
  assert.equal(world.profile["keep-outs"][0].width, 77);
  assert.equal(server.waiting(), 0);
});

test("a list that shifted elsewhere: the edit does not hit its neighbour", async () => {
  const { server, world } = stand();
  await server.begin();
  world.revision = 8;
  world.profile["keep-outs"].shift();
  await server.edit([widen(0, 2)]);
  assert.equal(world.profile["keep-outs"][0].width, 1);
});

test("what the server refuses is said in its words and not tried again", async () => {
  const { server, world, asked } = stand();
  await server.begin();
  world.fault = "width must not be 0";
  /** @type {string[]} */
  const refused = [];
  server.watch((what) => void (what.refused && refused.push(what.refused)));
  await server.edit([widen(0, 0)]);
  assert.deepEqual(refused, ["width must not be 0"]);
  assert.equal(asked.filter((each) => each.path === "/edit").length, 1);
});

test("an older state that comes late is dropped", () => {
  const store = createStore();
  store.take(stateOf(5, { newest: true }));
  store.take(stateOf(4, { newest: false }));
  assert.deepEqual(store.state()?.data.profile, { newest: true });
});
