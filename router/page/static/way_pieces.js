/**
 * Ways as pieces to draw: what lies in the shown space apart from what lies in others. Touches no page. Lengths in mm.
 *
 * @typedef {import("./types.js").Point} Point
 * @typedef {{here: boolean, line: Point[]}} WayPiece
 */

/**
 * Return a way in pieces, a new one wherever it comes into another space.
 *
 * @param {readonly {x: number, y: number, space: string}[]} points
 * @param {string} space that is shown
 * @returns {WayPiece[]}
 */
export function piecesOf(points, space) {
  /** @type {WayPiece[]} */
  const pieces = [];
  let last = "";
  for (const [index, point] of points.entries()) {
    if (index === 0 || point.space !== last) pieces.push({ here: point.space === space, line: [] });
    pieces[pieces.length - 1].line.push([point.x, point.y]);
    last = point.space;
  }
  return pieces.filter(({ line }) => line.length > 1);
}

/**
 * Return the points of a way as the server sends it while something is dragged.
 *
 * @param {readonly (readonly [number, number, number, string])[]} points
 */
export function livePoints(points) {
  return points.map(([x, y, z, space]) => ({ x, y, z, space }));
}

/**
 * Return marks in as few heaps as no two of them touch: each heap at its first mark.
 *
 * @template {{at: Point}} Mark
 * @param {readonly Mark[]} marks the weighty first
 * @param {number} apart
 * @returns {Mark[][]}
 */
export function heaps(marks, apart) {
  /** @type {Mark[][]} */
  const found = [];
  for (const mark of marks) {
    const heap = found.find(([first]) => Math.hypot(first.at[0] - mark.at[0], first.at[1] - mark.at[1]) < apart);
    if (heap) heap.push(mark);
    else found.push([mark]);
  }
  return found;
}

/**
 * Return the run that lies nearest to a place, if one is near enough, and its station there.
 *
 * @template {{name: string, points: import("./stations.js").WayPoint[]}} Run
 * @param {readonly Run[]} runs
 * @param {Point} at
 * @param {number} within
 * @param {(points: import("./stations.js").WayPoint[], at: Point) => {station: number, away: number}|null} nearest
 * @returns {{run: Run, station: number}|null}
 */
export function runAt(runs, at, within, nearest) {
  let best = null;
  for (const run of runs) {
    const found = nearest(run.points, at);
    if (found && found.away <= within && (!best || found.away < best.away)) best = { run, ...found };
  }
  return best && { run: best.run, station: best.station };
}
