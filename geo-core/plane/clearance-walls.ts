import Flatbush from 'flatbush';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { ringAreaM2 } from './measure.ts';
import { parameterOnSegment, segmentsCross } from './segment.ts';

/** The true boundary segments of one polygon, ready to be asked for distances. Metres. */
export type Walls = {
  /** ax, ay, bx, by of every segment, interior on its left. */
  readonly segments: Float64Array;
  readonly count: number;
  readonly index: Flatbush;
  /** Length of the box's diagonal. */
  readonly spanM: number;
  readonly holds: (x: number, y: number) => boolean;
};

/** The boundary point nearest to somewhere. */
export type Foot = { readonly x: number; readonly y: number; readonly distanceM: number };

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
    .sort((a, b) => a[1] - b[1] || a[0] - b[0] || ringAreaM2(a) - ringAreaM2(b));
  const rings = [outer, ...holes];
  const count = rings.reduce((sum, ring) => sum + ring.length / 2, 0);
  const segments = new Float64Array(4 * count);
  const index = new Flatbush(count);
  let at = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2, at += 4) {
      const j = (i + 2) % ring.length;
      segments.set([ring[i], ring[i + 1], ring[j], ring[j + 1]], at);
      index.add(
        Math.min(ring[i], ring[j]),
        Math.min(ring[i + 1], ring[j + 1]),
        Math.max(ring[i], ring[j]),
        Math.max(ring[i + 1], ring[j + 1]),
      );
    }
  }
  index.finish();
  const width = index.maxX - index.minX;
  const height = index.maxY - index.minY;
  const spanM = Math.sqrt(width * width + height * height);
  return { segments, count, index, spanM, holds: insideTest(segments, index.minY, height) };
}

/** The nearest boundary point within `reachM`, or undefined. */
export function nearestFoot(walls: Walls, x: number, y: number, reachM: number): Foot | undefined {
  let best: Foot | undefined;
  let bestM = reachM;
  walls.index.search(x - reachM, y - reachM, x + reachM, y + reachM, (k) => {
    const foot = footOn(walls, k, x, y);
    if (foot.distanceM <= bestM) {
      best = foot;
      bestM = foot.distanceM;
    }
    return false;
  });
  return best;
}

/** Distance from a point to the boundary; `guessM` is where the search starts. */
export function clearanceM(walls: Walls, x: number, y: number, guessM: number): number {
  for (let reachM = Math.max(guessM, 1e-3); ; reachM *= 2) {
    const foot = nearestFoot(walls, x, y, reachM);
    if (foot !== undefined) return foot.distanceM;
    if (reachM > 4 * walls.spanM) return Number.POSITIVE_INFINITY;
  }
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

/** Where a wall faces another across less than `facingM`, samples are at most `spacingM` apart. */
export type Tier = { readonly facingM: number; readonly spacingM: number };

/** Points along the boundary, x0, y0, x1, y1, ...: every corner, then at most `coarseM` apart, closer where tiers (widest first) ask for it. */
export function sampleWalls(walls: Walls, coarseM: number, tiers: readonly Tier[]): Float64Array {
  const points: number[] = [];
  const s = walls.segments;
  const sample = (segment: number, from: number, to: number, tier: number): void => {
    const k = 4 * segment;
    const dx = s[k + 2] - s[k];
    const dy = s[k + 3] - s[k + 1];
    const lengthM = (to - from) * Math.sqrt(dx * dx + dy * dy);
    const middle = (from + to) / 2;
    let next = tier;
    while (next < tiers.length && lengthM <= tiers[next].spacingM) next++;
    if (
      next < tiers.length &&
      isFaced(walls, segment, s[k] + middle * dx, s[k + 1] + middle * dy, tiers[next].facingM)
    ) {
      const parts = Math.ceil(lengthM / tiers[next].spacingM);
      const step = (to - from) / parts;
      for (let part = 0; part < parts; part++) {
        sample(segment, from + part * step, part + 1 === parts ? to : from + (part + 1) * step, next + 1);
      }
    } else points.push(s[k] + from * dx, s[k + 1] + from * dy);
  };
  for (let segment = 0; segment < walls.count; segment++) {
    const k = 4 * segment;
    const dx = s[k + 2] - s[k];
    const dy = s[k + 3] - s[k + 1];
    const pieces = Math.ceil(Math.sqrt(dx * dx + dy * dy) / coarseM);
    for (let piece = 0; piece < pieces; piece++) sample(segment, piece / pieces, (piece + 1) / pieces, 0);
  }
  return Float64Array.from(points);
}

/** Whether the straight way from a to b crosses a wall. */
export function crossesWall(walls: Walls, ax: number, ay: number, bx: number, by: number): boolean {
  const s = walls.segments;
  return walls.index.collides(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by), (segment) => {
    const k = 4 * segment;
    return segmentsCross(ax, ay, bx, by, s[k], s[k + 1], s[k + 2], s[k + 3]);
  });
}

/**
 * Whether a wall faces the place x, y of `segment` across less than `facingM`: inner normals at a right angle or more apart, each on
 * the inner side of the other. (Of the walls that meet a locally shortest chord at least one pair does so, corners included.)
 */
function isFaced(walls: Walls, segment: number, x: number, y: number, facingM: number): boolean {
  const s = walls.segments;
  const k = 4 * segment;
  const dx = s[k + 2] - s[k];
  const dy = s[k + 3] - s[k + 1];
  const lengthSquared = dx * dx + dy * dy;
  return walls.index.collides(x - facingM, y - facingM, x + facingM, y + facingM, (other) => {
    const j = 4 * other;
    const ex = s[j + 2] - s[j];
    const ey = s[j + 3] - s[j + 1];
    const dot = dx * ex + dy * ey;
    if (dot > 0 && dot * dot > 0.0025 * lengthSquared * (ex * ex + ey * ey)) return false;
    const startsLeft = dx * (s[j + 1] - y) - dy * (s[j] - x) > 0;
    const endsLeft = dx * (s[j + 3] - y) - dy * (s[j + 2] - x) > 0;
    if (!startsLeft && !endsLeft) return false;
    if (ex * (y - s[j + 1]) - ey * (x - s[j]) <= 0) return false;
    return footOn(walls, other, x, y).distanceM < facingM;
  });
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
  let first = 0;
  for (let i = 2; i < kept.length; i += 2) {
    if (kept[i + 1] < kept[first + 1] || (kept[i + 1] === kept[first + 1] && kept[i] < kept[first])) first = i;
  }
  return Float64Array.from([...kept.slice(first), ...kept.slice(0, first)]);
}

function isIdle(x: number, y: number, ax: number, ay: number, bx: number, by: number): boolean {
  const t = parameterOnSegment(x, y, ax, ay, bx, by);
  const dx = x - ax - t * (bx - ax);
  const dy = y - ay - t * (by - ay);
  return dx * dx + dy * dy <= COLLINEAR_M * COLLINEAR_M;
}

/** Even-odd test over all rings; horizontal slabs hold the segments that cross them. */
function insideTest(segments: Float64Array, minY: number, height: number): (x: number, y: number) => boolean {
  const count = segments.length / 4;
  const rows = Math.max(1, Math.ceil(4 * Math.sqrt(count)));
  const rowOf = (y: number): number => Math.min(rows - 1, Math.max(0, Math.floor(((y - minY) / height) * rows)));
  const slabs: number[][] = Array.from({ length: rows }, () => []);
  for (let k = 0; k < segments.length; k += 4) {
    const from = rowOf(Math.min(segments[k + 1], segments[k + 3]));
    const to = rowOf(Math.max(segments[k + 1], segments[k + 3]));
    for (let row = from; row <= to; row++) slabs[row].push(k);
  }
  return (x, y) => {
    if (y < minY || y > minY + height) return false;
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
