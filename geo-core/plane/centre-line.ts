import Delaunator from 'delaunator';
import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import { isClear, type Walls } from './clearance-walls.ts';
import { distanceM } from './measure.ts';
import { minHeap } from './min-heap.ts';
import { ringsOf } from './polygons.ts';
import { pointSegmentM } from './segment.ts';
import { sampleRings } from './widest-peaks.ts';

/** Samples of the walls are so far apart, metres, or this share of the width where that is less. */
const SAMPLE_M = 0.15;
const SAMPLE_SHARE = 0.25;
/** An edge of the corridor whose middle is farther than this from every wall is the chord of a mouth: only its ends are sampled. Metres. */
const ON_WALL_M = 1e-4;
const LINE_TOLERANCE_M = 0.01;

/** Circles through three samples each (Delaunay): the nodes of a graph whose links lead between the two samples they share. */
type Circles = {
  readonly samples: Float64Array;
  readonly triangles: Uint32Array;
  readonly halfedges: Int32Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly radiusM: Float64Array;
};

/** A way through narrow ground: its narrowest place from wall to wall, and the last full circles at its ends. */
export type NarrowWay = {
  readonly widthM: number;
  readonly touches: readonly [PlanePoint, PlanePoint];
  readonly ends: readonly [PlanePoint, PlanePoint];
};

/**
 * The middle of a way from the last full circle on one side through its narrowest place to the first one on the other: the shortest line
 * of places between two walls that is nowhere narrower than the way. `corridor` is the ground that it runs through, cut off at its
 * mouths. Points within 10 mm of the line through their neighbours are left out.
 */
export function centreLine(walls: Walls, corridor: Polygon, { widthM, touches: [p, q], ends }: NarrowWay): Polyline {
  const isWall = (x: number, y: number): boolean => !isClear(walls, x, y, ON_WALL_M);
  const spacingM = Math.min(SAMPLE_M, SAMPLE_SHARE * widthM);
  const circles = circlesOf(sampleRings(ringsOf([corridor]), spacingM, isWall));
  const middle = { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 };
  const [back, forth] = waysFrom(circles, middle, ends, (1 - 1e-6) * (widthM / 2));
  return thinLine([ends[0], ...back.toReversed(), middle, ...forth, ends[1]]);
}

function circlesOf(samples: Float64Array): Circles {
  const { triangles, halfedges } = new Delaunator(samples);
  const count = triangles.length / 3;
  const [x, y, radiusM] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  for (let t = 0; t < count; t++) {
    const [a, b, c] = [2 * triangles[3 * t], 2 * triangles[3 * t + 1], 2 * triangles[3 * t + 2]];
    const bx = samples[b] - samples[a];
    const by = samples[b + 1] - samples[a + 1];
    const cx = samples[c] - samples[a];
    const cy = samples[c + 1] - samples[a + 1];
    const half = 0.5 / (bx * cy - by * cx);
    const ux = half * (cy * (bx * bx + by * by) - by * (cx * cx + cy * cy));
    const uy = half * (bx * (cx * cx + cy * cy) - cx * (bx * bx + by * by));
    x[t] = samples[a] + ux;
    y[t] = samples[a + 1] + uy;
    radiusM[t] = Math.sqrt(ux * ux + uy * uy);
  }
  return { samples, triangles, halfedges, x, y, radiusM };
}

/** From the circle nearest to the middle the shortest way to the one nearest to each end (Dijkstra), over links at least `leastM` wide, half. */
function waysFrom(circles: Circles, middle: PlanePoint, ends: readonly PlanePoint[], leastM: number): PlanePoint[][] {
  const { x, y, radiusM } = circles;
  const nearest = (at: PlanePoint, isAllowed: (t: number) => boolean): number => {
    let best = -1;
    let bestM = Number.POSITIVE_INFINITY;
    for (let t = 0; t < x.length; t++) {
      if (!isAllowed(t)) continue;
      const farM = distanceM(x[t], y[t], at.x, at.y);
      if (farM < bestM) [best, bestM] = [t, farM];
    }
    return best;
  };
  const start = nearest(middle, (t) => radiusM[t] >= leastM);
  if (start < 0) return [[], []];
  const farM = new Float64Array(x.length).fill(Number.POSITIVE_INFINITY);
  const cameBy = new Int32Array(x.length).fill(-1);
  farM[start] = 0;
  const heap = minHeap<number>();
  heap.push(0, start);
  for (let t = heap.pop(); t !== undefined; t = heap.pop()) {
    for (let e = 3 * t; e < 3 * t + 3; e++) {
      const twin = circles.halfedges[e];
      if (twin < 0 || halfWidthM(circles, e, twin) < leastM) continue;
      const other = Math.floor(twin / 3);
      const reachedM = farM[t] + distanceM(x[t], y[t], x[other], y[other]);
      if (reachedM >= farM[other]) continue;
      farM[other] = reachedM;
      cameBy[other] = e;
      heap.push(reachedM, other);
    }
  }
  return ends.map((end) => {
    const way: PlanePoint[] = [];
    for (let t = nearest(end, (k) => farM[k] < Number.POSITIVE_INFINITY); t !== start; t = Math.floor(cameBy[t] / 3)) {
      way.unshift(placeOn(circles, cameBy[t], t));
    }
    return way;
  });
}

/** Half the width of the way over a shared edge: half the edge where the circles lie on both sides of it, else the smaller circle. */
function halfWidthM(circles: Circles, e: number, twin: number): number {
  const { radiusM } = circles;
  const leastM = Math.min(radiusM[Math.floor(e / 3)], radiusM[Math.floor(twin / 3)]);
  return liesBetween(circles, e) && liesBetween(circles, twin) ? Math.min(leastM, edgeM(circles, e) / 2) : leastM;
}

/** Where a way crosses a shared edge: in its middle, or where that lies aside, in the circle it leads to. */
function placeOn(circles: Circles, e: number, to: number): PlanePoint {
  const { samples, triangles, halfedges, x, y } = circles;
  if (!liesBetween(circles, e) || !liesBetween(circles, halfedges[e])) return { x: x[to], y: y[to] };
  const [a, b] = [2 * triangles[e], 2 * triangles[halfedges[e]]];
  return { x: (samples[a] + samples[b]) / 2, y: (samples[a + 1] + samples[b + 1]) / 2 };
}

function edgeM({ samples, triangles, halfedges }: Circles, e: number): number {
  const [a, b] = [2 * triangles[e], 2 * triangles[halfedges[e]]];
  return distanceM(samples[a], samples[a + 1], samples[b], samples[b + 1]);
}

/** Whether the circle of a triangle lies on the triangle's side of an edge: the angle opposite is at most a right one. */
function liesBetween({ samples, triangles, halfedges }: Circles, e: number): boolean {
  const apex = 2 * triangles[e % 3 === 0 ? e + 2 : e - 1];
  const [a, b] = [2 * triangles[e], 2 * triangles[halfedges[e]]];
  const [x, y] = [samples[apex], samples[apex + 1]];
  return (samples[a] - x) * (samples[b] - x) + (samples[a + 1] - y) * (samples[b + 1] - y) >= 0;
}

/** Leaves out points nearer than 10 mm to the line through the kept ones (Douglas and Peucker's rule, without recursion). */
function thinLine(points: readonly PlanePoint[]): Polyline {
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  const stretches: [number, number][] = [[0, points.length - 1]];
  for (let stretch = stretches.pop(); stretch !== undefined; stretch = stretches.pop()) {
    const [first, last] = stretch;
    let worst = first;
    let worstM = LINE_TOLERANCE_M;
    for (let i = first + 1; i < last; i++) {
      const { x, y } = points[i];
      const offM = pointSegmentM(x, y, points[first].x, points[first].y, points[last].x, points[last].y);
      if (offM > worstM) {
        worst = i;
        worstM = offM;
      }
    }
    if (worst === first) continue;
    keep[worst] = 1;
    stretches.push([first, worst], [worst, last]);
  }
  return Float64Array.from(points.flatMap(({ x, y }, i) => (keep[i] === 1 ? [x, y] : [])));
}
