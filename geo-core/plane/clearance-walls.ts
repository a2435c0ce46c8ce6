import Flatbush from 'flatbush';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { compareRings, lowestLeft } from './polygons.ts';
import { parameterOnSegment } from './segment.ts';

/**
 * The true boundary segments of one polygon, ready to be asked for distances. Metres. Segments follow each other along their rings,
 * interior on the left; corner i is where segment i starts.
 */
export type Walls = {
  readonly rings: readonly Ring[];
  /** ax, ay, bx, by of every segment. */
  readonly segments: Float64Array;
  readonly count: number;
  /** Unit direction and length of every segment. */
  readonly ux: Float64Array;
  readonly uy: Float64Array;
  readonly lengthM: Float64Array;
  /** Which of the rings each segment belongs to, and the segments before and after it there. */
  readonly ringOf: Int32Array;
  readonly previous: Int32Array;
  readonly next: Int32Array;
  /** 1 where the ground takes more than half a turn round corner i. */
  readonly isReflex: Uint8Array;
  readonly index: Flatbush;
  /** Length of the box's diagonal. */
  readonly spanM: number;
  readonly holds: (x: number, y: number) => boolean;
};

/** The boundary point nearest to somewhere. */
export type Foot = { readonly x: number; readonly y: number; readonly distanceM: number };

/** A boundary point and the segment it lies on (at a corner the one that starts there). */
export type WallPoint = { readonly x: number; readonly y: number; readonly segment: number };

/** A vertex this near to the line of its neighbours says nothing: half a diagonal of the 0.01 mm grid, and a bit. */
const COLLINEAR_M = 8e-6;

/**
 * Boundary of a polygon without repeated and collinear vertices, in an order that does not depend on where its rings start
 * or in which order its holes come. Undefined where no ring with three corners is left.
 */
export function raiseWalls(polygon: Polygon): Walls | undefined {
  const outer = canonicalRing(polygon.outer);
  if (outer.length < 6) return undefined;
  const holes = polygon.holes
    .map(canonicalRing)
    .filter((ring) => ring.length >= 6)
    .sort(compareRings);
  const rings = [outer, ...holes];
  const count = rings.reduce((sum, ring) => sum + ring.length / 2, 0);
  const segments = new Float64Array(4 * count);
  const [ux, uy, lengthM] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  const [ringOf, previous, next] = [new Int32Array(count), new Int32Array(count), new Int32Array(count)];
  const index = new Flatbush(count);
  let k = 0;
  rings.forEach((ring, r) => {
    const first = k;
    const last = first + ring.length / 2 - 1;
    for (let i = 0; i < ring.length; i += 2, k++) {
      const j = i + 2 === ring.length ? 0 : i + 2;
      const [ax, ay, bx, by] = [ring[i], ring[i + 1], ring[j], ring[j + 1]];
      segments[4 * k] = ax;
      segments[4 * k + 1] = ay;
      segments[4 * k + 2] = bx;
      segments[4 * k + 3] = by;
      lengthM[k] = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
      ux[k] = (bx - ax) / lengthM[k];
      uy[k] = (by - ay) / lengthM[k];
      previous[k] = k === first ? last : k - 1;
      next[k] = k === last ? first : k + 1;
      ringOf[k] = r;
      index.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
    }
  });
  index.finish();
  const isReflex = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const before = previous[i];
    const turn = ux[before] * uy[i] - uy[before] * ux[i];
    // The tip of a spike of no width turns back on itself: all of it is seen.
    if (turn < 0 || (turn === 0 && ux[before] * ux[i] + uy[before] * uy[i] < 0)) isReflex[i] = 1;
  }
  const width = index.maxX - index.minX;
  const height = index.maxY - index.minY;
  const spanM = Math.sqrt(width * width + height * height);
  const holds = insideTest(segments, index.minY, height);
  return { rings, segments, count, ux, uy, lengthM, ringOf, previous, next, isReflex, index, spanM, holds };
}

/** The nearest boundary point within `reachM`, or undefined. */
export function nearestFoot(walls: Walls, x: number, y: number, reachM: number): Foot | undefined {
  let best = -1;
  let bestSquared = reachM * reachM;
  walls.index.search(x - reachM, y - reachM, x + reachM, y + reachM, (k) => {
    const squared = farSquared(walls, k, x, y);
    if (squared <= bestSquared) {
      best = k;
      bestSquared = squared;
    }
    return false;
  });
  return best < 0 ? undefined : footOn(walls, best, x, y);
}

/** Distance from a point to the boundary; `guessM` is where the search starts. */
export function clearanceM(walls: Walls, x: number, y: number, guessM: number): number {
  for (let reachM = Math.max(guessM, 1e-3); ; reachM *= 2) {
    const foot = nearestFoot(walls, x, y, reachM);
    if (foot !== undefined) return foot.distanceM;
    if (reachM > 4 * walls.spanM) return Number.POSITIVE_INFINITY;
  }
}

/** Whether nothing of the boundary lies nearer than `radiusM`. */
export function isClear(walls: Walls, x: number, y: number, radiusM: number): boolean {
  const squared = radiusM * radiusM;
  return !walls.index.collides(x - radiusM, y - radiusM, x + radiusM, y + radiusM, (k) => {
    return farSquared(walls, k, x, y) < squared;
  });
}

/** The point of one segment nearest to somewhere. */
export function footOn(walls: Walls, segment: number, x: number, y: number): Foot {
  const s = walls.segments;
  const k = 4 * segment;
  const t = parameterOnSegment(x, y, s[k], s[k + 1], s[k + 2], s[k + 3]);
  const fx = s[k] + t * (s[k + 2] - s[k]);
  const fy = s[k + 1] + t * (s[k + 3] - s[k + 1]);
  return { x: fx, y: fy, distanceM: Math.sqrt((x - fx) * (x - fx) + (y - fy) * (y - fy)) };
}

function farSquared({ segments: s, ux, uy, lengthM }: Walls, k: number, x: number, y: number): number {
  const dx = x - s[4 * k];
  const dy = y - s[4 * k + 1];
  const along = dx * ux[k] + dy * uy[k];
  if (along <= 0) return dx * dx + dy * dy;
  if (along >= lengthM[k]) {
    const ex = x - s[4 * k + 2];
    const ey = y - s[4 * k + 3];
    return ex * ex + ey * ey;
  }
  const aside = ux[k] * dy - uy[k] * dx;
  return aside * aside;
}

/**
 * Whether a direction from corner i leads into the ground between the normals of its two segments, so that the corner is the
 * nearest point of both; `slack` is the sine by which it may miss.
 */
export function seesFromCorner(walls: Walls, i: number, dx: number, dy: number, slack: number): boolean {
  const before = walls.previous[i];
  return dx * walls.ux[before] + dy * walls.uy[before] >= -slack && dx * walls.ux[i] + dy * walls.uy[i] <= slack;
}

/** Starts at the lowest left corner; repeated and collinear vertices dropped (a spike's tip is kept). */
function canonicalRing(ring: Ring): Ring {
  const kept: number[] = [];
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const j = (i + 2) % n;
    const px = kept.length > 0 ? kept[kept.length - 2] : ring[n - 2];
    const py = kept.length > 0 ? kept[kept.length - 1] : ring[n - 1];
    if (!isIdle(ring[i], ring[i + 1], px, py, ring[j], ring[j + 1])) kept.push(ring[i], ring[i + 1]);
  }
  // The first vertices were judged against a neighbour that may have gone since.
  while (kept.length >= 6 && isIdle(kept[0], kept[1], kept[kept.length - 2], kept[kept.length - 1], kept[2], kept[3])) {
    kept.splice(0, 2);
  }
  const first = lowestLeft(kept);
  const turned = new Float64Array(kept.length);
  for (let i = 0; i < kept.length; i++) turned[i] = kept[(first + i) % kept.length];
  return turned;
}

function isIdle(x: number, y: number, ax: number, ay: number, bx: number, by: number): boolean {
  const t = parameterOnSegment(x, y, ax, ay, bx, by);
  const dx = x - ax - t * (bx - ax);
  const dy = y - ay - t * (by - ay);
  return dx * dx + dy * dy <= COLLINEAR_M * COLLINEAR_M;
}

/** Even-odd test over all rings; horizontal slabs hold the segments that cross them, made when first asked. */
function insideTest(segments: Float64Array, minY: number, height: number): (x: number, y: number) => boolean {
  const count = segments.length / 4;
  const rows = Math.max(1, Math.ceil(4 * Math.sqrt(count)));
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor(((y - minY) / height) * rows)));
  let slabs: number[][] | undefined;
  const raiseSlabs = (): number[][] => {
    const raised: number[][] = Array.from({ length: rows }, () => []);
    for (let k = 0; k < segments.length; k += 4) {
      const from = rowOf(Math.min(segments[k + 1], segments[k + 3]));
      const to = rowOf(Math.max(segments[k + 1], segments[k + 3]));
      for (let row = from; row <= to; row++) raised[row].push(k);
    }
    return raised;
  };
  return (x, y) => {
    if (!(y >= minY && y <= minY + height)) return false;
    slabs ??= raiseSlabs();
    let inside = false;
    for (const k of slabs[rowOf(y)]) {
      const ay = segments[k + 1];
      const by = segments[k + 3];
      if (ay > y !== by > y && x < segments[k] + ((segments[k + 2] - segments[k]) * (y - ay)) / (by - ay)) {
        inside = !inside;
      }
    }
    return inside;
  };
}
