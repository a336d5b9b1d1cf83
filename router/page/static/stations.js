/**
 * Along a way: places by station and stations by place. Nothing here touches the page. Lengths in mm.
 *
 * @typedef {{x: number, y: number, z: number, space: string, station: number}} WayPoint
 */

/**
 * Return where a station lies on a way, or null where the way has no points.
 *
 * @param {readonly WayPoint[]} points in the order of their stations
 * @param {number} station
 * @returns {WayPoint | null}
 */
export function pointAt(points, station) {
  const next = points.findIndex((point) => point.station >= station);
  if (next < 0) return points.at(-1) ?? null;
  if (next === 0) return points[0];
  return between(points[next - 1], points[next], station);
}

/**
 * Return the points of a way from one station to another, its ends included.
 *
 * @param {readonly WayPoint[]} points
 * @param {number} from
 * @param {number} to
 * @returns {WayPoint[]}
 */
export function piece(points, from, to) {
  const start = pointAt(points, from);
  const end = pointAt(points, to);
  if (!start || !end) return [];
  return [start, ...points.filter((point) => point.station > from && point.station < to), end];
}

/**
 * Return the station of a way that lies nearest to a place as seen from above, and how far away that is.
 *
 * @param {readonly WayPoint[]} points
 * @param {readonly [number, number]} at
 * @returns {{station: number, away: number} | null}
 */
export function nearestStation(points, [x, y]) {
  let best = null;
  for (let index = 0; index < points.length; index += 1) {
    const a = points[index];
    const b = points[index + 1] ?? a;
    const share = footShare(a, b, x, y);
    const away = Math.hypot(a.x + share * (b.x - a.x) - x, a.y + share * (b.y - a.y) - y);
    if (!best || away < best.away) best = { station: a.station + share * (b.station - a.station), away };
  }
  return best;
}

/**
 * @param {WayPoint} a
 * @param {WayPoint} b
 * @param {number} station
 * @returns {WayPoint}
 */
function between(a, b, station) {
  const long = b.station - a.station;
  const share = long > 0 ? (station - a.station) / long : 0;
  return {
    x: a.x + share * (b.x - a.x),
    y: a.y + share * (b.y - a.y),
    z: a.z + share * (b.z - a.z),
    space: b.space,
    station,
  };
}

/**
 * @param {WayPoint} a
 * @param {WayPoint} b
 * @param {number} x
 * @param {number} y
 */
function footShare(a, b, x, y) {
  const [along, across] = [b.x - a.x, b.y - a.y];
  const square = along * along + across * across;
  if (square === 0) return 0;
  return Math.min(1, Math.max(0, ((x - a.x) * along + (y - a.y) * across) / square));
}
