import type { Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { reversedRing } from './polygons.ts';

/** Arcs are drawn as tangents that stay outside the true arc by at most this, so that errors fall on the safe side. */
const ARC_TOLERANCE_M = 0.001;

/** Longest mitre, as a multiple of the distance; sharper reflex corners are cut off. */
const MITRE_LIMIT = 10;

/** Edges shorter than this carry no direction worth keeping, metres. */
const SHORTEST_EDGE_M = 1e-7;

/**
 * The raw contour of a ring moved to its left by a distance of its own for every edge. Winding number of the contour =
 * winding of the ring - one for every edge's band - one for every corner's pie, so {winding >= 1} of all contours of a
 * polygon together (one positive-fill sweep) is exactly the ground that keeps its distance from every edge.
 *
 *        nk.dk                    convex corner, equal distances: the contour runs back to the corner v,
 *      +------+                   the bands overlap there and the sweep drops the overlap.
 *      |  k   |v   f ->           reflex corner: the pie of radius d between the two bands is added,
 *      +------+---------+         drawn as tangents (round) or to their meeting point (mitre).
 *          e-> |   j    |         unequal distances: the larger distance bulges over the smaller band as the end cap
 *              +--------+         that it is.
 *
 * Ring: flat metres, interior on the left. offsetsM[i] belongs to the edge from vertex i to i + 1. Mitre joins apply where
 * both distances are equal; elsewhere the round cap is the only safe form. Directions are halved with square roots only, so
 * every engine gives the same bits. Returns undefined for a ring without three distinct vertices.
 */
export function insetContour(ring: Ring, offsetsM: ArrayLike<number>, join: ReflexJoin): Ring | undefined {
  const { xs, ys, distances } = withoutShortEdges(ring, offsetsM);
  const count = xs.length;
  if (count < 3) return undefined;
  const out: number[] = [];
  let k = count - 1;
  let [ex, ey] = direction(xs[k], ys[k], xs[0], ys[0]);
  for (let i = 0; i < count; i++) {
    const next = (i + 1) % count;
    const [fx, fy] = direction(xs[i], ys[i], xs[next], ys[next]);
    corner(out, { x: xs[i], y: ys[i], ex, ey, fx, fy, before: distances[k], after: distances[i] }, join);
    ex = fx;
    ey = fy;
    k = i;
  }
  return Float64Array.from(out);
}

/** A disc as the tangents around it: contains the true disc, overshoots it by at most the arc tolerance. Counter-clockwise. */
export function discRing(x: number, y: number, radiusM: number): Ring {
  const out: number[] = [];
  for (let quarter = 0; quarter < 4; quarter++) {
    const [ux, uy] = COMPASS[quarter];
    const [wx, wy] = COMPASS[(quarter + 1) % 4];
    arc(out, x, y, radiusM, ux, uy, wx, wy, 2 * ARC_TOLERANCE_M);
  }
  return reversedRing(Float64Array.from(out));
}

/** All ground within radiusM of the segment a-b, on both sides and round its ends: tangents outside the true arcs. Clockwise. */
export function capsuleRing(ax: number, ay: number, bx: number, by: number, radiusM: number): Ring {
  const [ex, ey] = direction(ax, ay, bx, by);
  const out: number[] = [bx - ey * radiusM, by + ex * radiusM];
  cap(out, bx, by, radiusM, [
    [-ey, ex],
    [ex, ey],
    [ey, -ex],
  ]);
  out.push(bx + ey * radiusM, by - ex * radiusM, ax + ey * radiusM, ay - ex * radiusM);
  cap(out, ax, ay, radiusM, [
    [ey, -ex],
    [-ex, -ey],
    [-ey, ex],
  ]);
  out.push(ax - ey * radiusM, ay + ex * radiusM);
  return Float64Array.from(out);
}

/** South, west, north, east: clockwise. */
const COMPASS: readonly (readonly [number, number])[] = [
  [0, -1],
  [-1, 0],
  [0, 1],
  [1, 0],
];

/** Turns with a smaller sine count as straight on, or (turning back) as a spike, which is a reflex corner. */
const STRAIGHT_SINE = 1e-12;
const SPIKE_SINE = 1e-9;

type Corner = {
  readonly x: number;
  readonly y: number;
  readonly ex: number;
  readonly ey: number;
  readonly fx: number;
  readonly fy: number;
  readonly before: number;
  readonly after: number;
};

function corner(out: number[], c: Corner, join: ReflexJoin): void {
  const { x, y, ex, ey, fx, fy, before, after } = c;
  const turnSine = ex * fy - ey * fx;
  const turnCosine = ex * fx + ey * fy;
  const isStraight = Math.abs(turnSine) < STRAIGHT_SINE && turnCosine > 0;
  const isSpike = Math.abs(turnSine) < SPIKE_SINE && turnCosine < 0;
  const isConvex = !isSpike && (turnSine > 0 || isStraight);
  out.push(x - ey * before, y + ex * before);
  if (before === after && isStraight) return;
  if (before === after) {
    if (isConvex) out.push(x, y);
    else arc(out, x, y, before, -ey, ex, -fy, fx, join === 'mitre' ? before * (MITRE_LIMIT - 1) : ARC_TOLERANCE_M);
  } else if (isConvex && turnCosine <= 0) {
    out.push(x, y);
  } else if (before > after) {
    const stops = isConvex
      ? []
      : turnCosine >= 0
        ? [[ex, ey]]
        : [
            [ex, ey],
            [ey, -ex],
          ];
    cap(out, x, y, before, [[-ey, ex], ...stops, [fx, fy]]);
    out.push(x + fx * before, y + fy * before, x, y);
  } else {
    const stops = isConvex
      ? []
      : turnCosine >= 0
        ? [[-fx, -fy]]
        : [
            [fy, -fx],
            [-fx, -fy],
          ];
    out.push(x, y, x - ex * after, y - ey * after);
    cap(out, x, y, after, [[-ex, -ey], ...stops, [-fy, fx]]);
  }
  out.push(x - fy * after, y + fx * after);
}

/**
 * An end cap clockwise by way of the directions given, none more than a quarter turn after the last. At a reflex corner it
 * goes all the way to the neighbour's edge: everything there sees the corner, whatever stands behind it.
 */
function cap(out: number[], x: number, y: number, radiusM: number, directions: readonly (readonly number[])[]): void {
  for (let i = 0; i + 1 < directions.length; i++) {
    const [[ux, uy], [wx, wy]] = [directions[i], directions[i + 1]];
    arc(out, x, y, radiusM, ux, uy, wx, wy, ARC_TOLERANCE_M);
  }
}

/** Clockwise from direction u to direction w (at most half a turn): the meeting points of tangents, the ends not included. */
function arc(
  out: number[],
  x: number,
  y: number,
  radiusM: number,
  ux: number,
  uy: number,
  wx: number,
  wy: number,
  toleranceM: number,
): void {
  const cosine = ux * wx + uy * wy;
  const halfCosine = Math.sqrt(Math.max(0, (1 + cosine) / 2));
  if (radiusM * (1 - halfCosine) <= toleranceM * halfCosine) {
    const reach = radiusM / (1 + cosine);
    out.push(x + (ux + wx) * reach, y + (uy + wy) * reach);
    return;
  }
  const [mx, my] = cosine > 0 ? unit(ux + wx, uy + wy) : unit(uy - wy, wx - ux);
  arc(out, x, y, radiusM, ux, uy, mx, my, toleranceM);
  arc(out, x, y, radiusM, mx, my, wx, wy, toleranceM);
}

function withoutShortEdges(ring: Ring, offsetsM: ArrayLike<number>) {
  const xs: number[] = [];
  const ys: number[] = [];
  const distances: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const next = (i + 2) % ring.length;
    const dx = ring[next] - ring[i];
    const dy = ring[next + 1] - ring[i + 1];
    if (dx * dx + dy * dy < SHORTEST_EDGE_M * SHORTEST_EDGE_M) continue;
    xs.push(ring[i]);
    ys.push(ring[i + 1]);
    distances.push(offsetsM[i / 2]);
  }
  return { xs, ys, distances };
}

function direction(ax: number, ay: number, bx: number, by: number): [number, number] {
  return unit(bx - ax, by - ay);
}

function unit(dx: number, dy: number): [number, number] {
  const length = Math.sqrt(dx * dx + dy * dy);
  return [dx / length, dy / length];
}
