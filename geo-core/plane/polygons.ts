import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { distanceM, ringAreaM2, ringLengthM } from './measure.ts';
import { nearly } from './nearly.ts';
import { cross, pointSegmentM } from './segment.ts';

/** Rings narrower than this on average are where walls meet on the grid, not ground, metres. Rings of more area are never so thin. */
const HAIRLINE_M = 0.000_01;
const LEAST_SURE_AREA_M2 = 0.01;

/** All rings of polygons, outer and holes, as the kernel takes them. */
export function ringsOf(polygons: readonly Polygon[]): Ring[] {
  return polygons.flatMap((polygon) => [polygon.outer, ...polygon.holes]);
}

/**
 * Clean rings (outer counter-clockwise, holes clockwise, not crossing) -> polygons: each hole goes to the smallest outer ring
 * around it; hairlines are dropped. Deterministic: every ring starts at its lowest-left vertex, polygons and holes are ordered by first vertex.
 */
export function polygonsFromRings(rings: readonly Ring[]): Polygon[] {
  const outers: { ring: Ring; areaM2: number; holes: Ring[] }[] = [];
  const holes: Ring[] = [];
  for (const ring of rings) {
    const areaM2 = ringAreaM2(ring);
    if (isHairline(ring, areaM2)) continue;
    if (areaM2 > 0) outers.push({ ring: startAtLowestLeft(ring), areaM2, holes: [] });
    else if (areaM2 < 0) holes.push(startAtLowestLeft(ring));
  }
  const smallestFirst = outers.toSorted((a, b) => a.areaM2 - b.areaM2);
  for (const hole of holes) {
    const around = outers.length === 1 ? outers[0] : smallestFirst.find((outer) => ringHoldsRing(outer.ring, hole));
    around?.holes.push(hole);
  }
  return outers
    .toSorted((a, b) => compareRings(a.ring, b.ring))
    .map(({ ring, holes: own }) => ({ outer: ring, holes: own.toSorted(compareRings) }));
}

function isHairline(ring: Ring, areaM2: number): boolean {
  const sizeM2 = Math.abs(areaM2);
  return sizeM2 < LEAST_SURE_AREA_M2 && 2 * sizeM2 <= HAIRLINE_M * ringLengthM(ring);
}

/** A ring as a line that ends where it began. */
export function closedLine(ring: Ring): Float64Array {
  const line = new Float64Array(ring.length + 2);
  line.set(ring);
  line.set(ring.subarray(0, 2), ring.length);
  return line;
}

/** The same ring the other way round. */
export function reversedRing(ring: Ring): Ring {
  const turned = new Float64Array(ring.length);
  for (let i = 0, j = ring.length - 2; i < ring.length; i += 2, j -= 2) {
    turned[j] = ring[i];
    turned[j + 1] = ring[i + 1];
  }
  return turned;
}

/**
 * The polygon without edges shorter than leastM, which arcs that meet leave behind: each vertex that near its kept predecessor
 * is dropped, so no outline moves by more than leastM. Rings that have no other edges vanish.
 */
export function withoutShortEdges({ outer, holes }: Polygon, leastM: number): Polygon {
  return {
    outer: withoutNearVertices(outer, leastM),
    holes: holes.map((hole) => withoutNearVertices(hole, leastM)).filter((hole) => hole.length >= 6),
  };
}

function withoutNearVertices(ring: Ring, leastM: number): Ring {
  const kept: number[] = [];
  const isNear = (x: number, y: number, k: number) => {
    const [dx, dy] = [kept[k] - x, kept[k + 1] - y];
    return dx * dx + dy * dy < leastM * leastM;
  };
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i], ring[i + 1]];
    if (kept.length > 0 && isNear(x, y, kept.length - 2)) continue;
    kept.push(x, y);
  }
  while (kept.length > 2 && isNear(kept[0], kept[1], kept.length - 2)) kept.length -= 2;
  return kept.length === ring.length ? ring : new Float64Array(kept);
}

/**
 * The polygon without vertices that say nothing: less than straightM off the line between their neighbours, where the grid has broken a
 * straight edge; and corners that reach outward between an edge shorter than nubM and another, where mitres met: ground is only lost.
 */
export function withoutNubs({ outer, holes }: Polygon, straightM: number, nubM: number): Polygon {
  return {
    outer: ringWithoutNubs(outer, straightM, nubM),
    holes: holes.map((hole) => ringWithoutNubs(hole, straightM, nubM)),
  };
}

function ringWithoutNubs(ring: Ring, straightM: number, nubM: number): Ring {
  const n = ring.length;
  const isNub = (ax: number, ay: number, x: number, y: number, bx: number, by: number): boolean => {
    if (pointSegmentM(x, y, ax, ay, bx, by) < straightM) return true;
    return cross(ax, ay, x, y, bx, by) > 0 && Math.min(distanceM(ax, ay, x, y), distanceM(x, y, bx, by)) < nubM;
  };
  const kept = [ring[0], ring[1]];
  for (let i = 2; i < n; i += 2) {
    const [k, next] = [kept.length - 2, (i + 2) % n];
    if (!isNub(kept[k], kept[k + 1], ring[i], ring[i + 1], ring[next], ring[next + 1])) kept.push(ring[i], ring[i + 1]);
  }
  const last = kept.length - 2;
  if (isNub(kept[last], kept[last + 1], kept[0], kept[1], kept[2], kept[3])) kept.splice(0, 2);
  return kept.length === n || kept.length < 6 ? ring : Float64Array.from(kept);
}

/**
 * A polygon without spikes: where an outline runs out and back less than widthM beside itself, it turns before. What is left may have
 * vertices near each other (`withoutShortEdges`).
 *
 *      +-------+            +-------+
 *      |       +====    ->  |       |
 *      +-------+            +-------+
 */
export function withoutSpikes({ outer, holes }: Polygon, widthM: number): Polygon {
  return {
    outer: ringWithoutSpikes(outer, widthM),
    holes: holes.map((hole) => ringWithoutSpikes(hole, widthM)).filter((hole) => hole.length >= 6),
  };
}

function ringWithoutSpikes(ring: Ring, widthM: number): Ring {
  const kept: number[] = [];
  const isSpike = (a: number, b: number, c: number): boolean => {
    const [dx, dy] = [kept[b] - kept[a], kept[b + 1] - kept[a + 1]];
    const [ex, ey] = [kept[c] - kept[b], kept[c + 1] - kept[b + 1]];
    if (dx * ex + dy * ey >= 0) return false;
    const across = dx * ey - dy * ex;
    return across * across <= widthM * widthM * Math.max(dx * dx + dy * dy, ex * ex + ey * ey);
  };
  for (let i = 0; i < ring.length; i += 2) {
    kept.push(ring[i], ring[i + 1]);
    for (let n = kept.length; n >= 6 && isSpike(n - 6, n - 4, n - 2); n = kept.length) kept.splice(n - 4, 2);
  }
  let isDone = false;
  while (!isDone && kept.length >= 6) {
    const n = kept.length;
    isDone = true;
    if (isSpike(n - 4, n - 2, 0)) kept.length -= 2;
    else if (isSpike(n - 2, 0, 2)) kept.splice(0, 2);
    else continue;
    isDone = false;
  }
  return kept.length === ring.length ? ring : new Float64Array(kept);
}

/** Whether two rings have the same vertices from the same first one. */
export function areSameRings(one: Ring, other: Ring): boolean {
  return one === other || (one.length === other.length && one.every((value, i) => value === other[i]));
}

/** Whether a ring turns to the right, or goes straight on, at every vertex. */
export function turnsRightOnly(ring: Ring): boolean {
  const n = ring.length;
  let [ex, ey] = [ring[0] - ring[n - 2], ring[1] - ring[n - 1]];
  for (let i = 0; i < n; i += 2) {
    const next = i + 2 === n ? 0 : i + 2;
    const [fx, fy] = [ring[next] - ring[i], ring[next + 1] - ring[i + 1]];
    if (ex * fy - ey * fx > 0) return false;
    [ex, ey] = [fx, fy];
  }
  return true;
}

/** minX, minY, maxX, maxY of a ring. */
export function boxOf(ring: Ring): [number, number, number, number] {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < ring.length; i += 2) {
    if (ring[i] < minX) minX = ring[i];
    if (ring[i] > maxX) maxX = ring[i];
    if (ring[i + 1] < minY) minY = ring[i + 1];
    if (ring[i + 1] > maxY) maxY = ring[i + 1];
  }
  return [minX, minY, maxX, maxY];
}

/** Even-odd point in ring. */
export function pointInRing(ring: Ring, x: number, y: number): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    const yi = ring[i + 1];
    const yj = ring[j + 1];
    if (yi > y !== yj > y && x < ((ring[j] - ring[i]) * (y - yi)) / (yj - yi) + ring[i]) inside = !inside;
  }
  return inside;
}

export function pointInPolygon(polygon: Polygon, x: number, y: number): boolean {
  return pointInRing(polygon.outer, x, y) && !polygon.holes.some((hole) => pointInRing(hole, x, y));
}

/** A hole may touch its outer ring in vertices: the majority of its edge midpoints decides. */
function ringHoldsRing(outer: Ring, inner: Ring): boolean {
  let inside = 0;
  let tried = 0;
  for (let i = 0; i < inner.length && tried < 7; i += 2, tried++) {
    const j = (i + 2) % inner.length;
    if (pointInRing(outer, (inner[i] + inner[j]) / 2, (inner[i + 1] + inner[j + 1]) / 2)) inside++;
  }
  return inside * 2 > tried;
}

/** The ring from its lowest left vertex on; itself where it starts there. */
export function startAtLowestLeft(ring: Ring): Ring {
  const first = lowestLeft(ring);
  if (first === 0) return ring;
  const turned = new Float64Array(ring.length);
  turned.set(ring.subarray(first));
  turned.set(ring.subarray(0, first), ring.length - first);
  return turned;
}

/** Index of the x of the leftmost of the lowest vertices: rounding alone makes none lower than another. */
export function lowestLeft(ring: ArrayLike<number>): number {
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = 1; i < ring.length; i += 2) lowest = Math.min(lowest, ring[i]);
  let first = -1;
  for (let i = 0; i < ring.length; i += 2)
    if (nearly(ring[i + 1], lowest) === 0 && (first < 0 || ring[i] < ring[first])) first = i;
  return first;
}

/** For sorting: the ring that starts lower, then farther left, first. */
export function compareRings(a: Ring, b: Ring): number {
  return nearly(a[1], b[1]) || nearly(a[0], b[0]) || ringAreaM2(a) - ringAreaM2(b);
}
