import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { ringSegments } from './box-index.ts';
import { distanceM } from './measure.ts';
import { ringsOf } from './polygons.ts';
import { cross, pointSegmentM, segmentSegmentM } from './segment.ts';
import { type SegmentTree, segmentTree, someSegment } from './segment-tree.ts';

/** What sees what on open ground: closed polygons to move in (their edges may be touched) and walls that may not be touched. */
export type Visibility = {
  /** Whether everything that is asked about lies on the ground anyway, so that nothing need be clipped. */
  readonly allInside: boolean;
  /** The corners a taut string can bend round: vertices off the walls where the ground's angle is 180 degrees or more. */
  corners(): Corners;
  /** Whether a point lies on the ground, its edges included. */
  holds(x: number, y: number): boolean;
  /**
   * Whether the straight leg a-b stays on the ground, passes no corner on its way (a path goes by way of the corner then),
   * and touches no wall. An end that is `held` belongs to the wall it stands on and may touch it there.
   */
  sees(ax: number, ay: number, bx: number, by: number, heldA: boolean, heldB: boolean): boolean;
  /** The stretches (parameters from 0 at a to 1 at b) of a segment that lie on the ground. */
  clip(ax: number, ay: number, bx: number, by: number): (readonly [number, number])[];
};

/** Flat x, y of corners, and of the vertices before and after each (four numbers a corner). */
type Corners = { readonly at: Float64Array; readonly beside: Float64Array };

/** Nearer than this counts as touching, metres: far below the grid of 0.01 mm, far above the noise of doubles. */
const TOUCH_M = 1e-9;
/** An end this near an edge of the ground stands on it, metres: two steps of the grid, for wire laid along the edge and rounded. */
const ON_EDGE_M = 2e-5;
/** How much of a held end is left out when a leg is tested against walls, metres. */
const HELD_M = 1e-6;

/**
 * Polygons clean and not overlapping, outer rings counter-clockwise, holes clockwise; walls are closed rings. Where all that is
 * asked about is known to lie on the ground, `allInside` spares clipping.
 */
export function visibility(polygons: readonly Polygon[], walls: readonly Ring[], allInside = false): Visibility {
  const rings = ringsOf(polygons);
  const edges = segmentTree(ringSegments(rings));
  const wallEdges = segmentTree(ringSegments(walls));
  const maxX = edges.boxes[6];

  function holds(x: number, y: number): boolean {
    const { at } = edges;
    let inside = false;
    someSegment(edges, x, y, maxX, y, (segment) => {
      const i = segment * 4;
      const above = at[i + 1] > y;
      if (above !== at[i + 3] > y) {
        const crossing = ((at[i + 2] - at[i]) * (y - at[i + 1])) / (at[i + 3] - at[i + 1]) + at[i];
        if (x < crossing) inside = !inside;
      }
      return false;
    });
    return inside || onSegment(edges, x, y);
  }

  function sees(ax: number, ay: number, bx: number, by: number, heldA: boolean, heldB: boolean): boolean {
    const lengthM = distanceM(ax, ay, bx, by);
    if (lengthM === 0) return holds(ax, ay);
    const passed: number[] = [0, lengthM];
    const blocked = someSegment(
      edges,
      Math.min(ax, bx) - ON_EDGE_M,
      Math.min(ay, by) - ON_EDGE_M,
      Math.max(ax, bx) + ON_EDGE_M,
      Math.max(ay, by) + ON_EDGE_M,
      (segment) => {
        const i = segment * 4;
        if (edgeBlocks(edges.at, i, ax, ay, bx, by, lengthM)) return true;
        const alongM = ((edges.at[i] - ax) * (bx - ax) + (edges.at[i + 1] - ay) * (by - ay)) / lengthM;
        const isPassed = pointSegmentM(edges.at[i], edges.at[i + 1], ax, ay, bx, by) <= ON_EDGE_M;
        if (isPassed && alongM > ON_EDGE_M && alongM < lengthM - ON_EDGE_M) passed.push(alongM);
        return false;
      },
    );
    if (blocked || !holdsBetween(passed, ax, ay, (bx - ax) / lengthM, (by - ay) / lengthM)) return false;
    return wallEdges.count === 0 || lengthM <= 2 * HELD_M || !touchesWall(ax, ay, bx, by, lengthM, heldA, heldB);
  }

  /** Whether the ground holds the leg between the corners that it passes by a hair: a leg along an edge may run past a gap in it. */
  function holdsBetween(passedM: readonly number[], ax: number, ay: number, ux: number, uy: number): boolean {
    if (passedM.length === 2) return holds(ax + (ux * passedM[1]) / 2, ay + (uy * passedM[1]) / 2);
    const ordered = passedM.toSorted((a, b) => a - b);
    return ordered.every((fromM, k) => {
      const middleM = (fromM + (ordered[k + 1] ?? fromM)) / 2;
      return holds(ax + ux * middleM, ay + uy * middleM);
    });
  }

  function touchesWall(
    ax: number,
    ay: number,
    bx: number,
    by: number,
    lengthM: number,
    heldA: boolean,
    heldB: boolean,
  ): boolean {
    const ux = ((bx - ax) / lengthM) * HELD_M;
    const uy = ((by - ay) / lengthM) * HELD_M;
    const px = heldA ? ax + ux : ax;
    const py = heldA ? ay + uy : ay;
    const qx = heldB ? bx - ux : bx;
    const qy = heldB ? by - uy : by;
    const { at } = wallEdges;
    return someSegment(
      wallEdges,
      Math.min(px, qx) - TOUCH_M,
      Math.min(py, qy) - TOUCH_M,
      Math.max(px, qx) + TOUCH_M,
      Math.max(py, qy) + TOUCH_M,
      (segment) => {
        const i = segment * 4;
        return segmentSegmentM(px, py, qx, qy, at[i], at[i + 1], at[i + 2], at[i + 3]) <= TOUCH_M;
      },
    );
  }

  function clip(ax: number, ay: number, bx: number, by: number): (readonly [number, number])[] {
    const { at } = edges;
    const cuts: number[] = [];
    someSegment(edges, Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by), (segment) => {
      const i = segment * 4;
      const from = cross(at[i], at[i + 1], at[i + 2], at[i + 3], ax, ay);
      const to = cross(at[i], at[i + 1], at[i + 2], at[i + 3], bx, by);
      const c = cross(ax, ay, bx, by, at[i], at[i + 1]);
      const d = cross(ax, ay, bx, by, at[i + 2], at[i + 3]);
      if (from * to < 0 && c * d <= 0) cuts.push(from / (from - to));
      return false;
    });
    const bounds = [0, ...cuts.toSorted((s, t) => s - t), 1];
    const kept: (readonly [number, number])[] = [];
    for (let k = 0; k + 1 < bounds.length; k++) {
      const [s, t] = [bounds[k], bounds[k + 1]];
      if (s === t && bounds.length > 2) continue;
      const middle = (s + t) / 2;
      if (holds(ax + middle * (bx - ax), ay + middle * (by - ay))) kept.push([s, t]);
    }
    return kept;
  }

  const onWall = (x: number, y: number): boolean => onSegment(wallEdges, x, y);
  let bending: Corners | undefined;
  const corners = (): Corners => {
    bending ??= bendingCorners(rings, onWall);
    return bending;
  };
  return { allInside, corners, holds, sees, clip };
}

function onSegment(tree: SegmentTree, x: number, y: number): boolean {
  const { at } = tree;
  return someSegment(tree, x - ON_EDGE_M, y - ON_EDGE_M, x + ON_EDGE_M, y + ON_EDGE_M, (segment) => {
    const i = segment * 4;
    return pointSegmentM(x, y, at[i], at[i + 1], at[i + 2], at[i + 3]) <= ON_EDGE_M;
  });
}

/** Whether the edge at offset i crosses the leg a-b, or begins with a corner on the leg's way. */
function edgeBlocks(
  at: Float64Array,
  i: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  lengthM: number,
): boolean {
  const [cx, cy, dx, dy] = [at[i], at[i + 1], at[i + 2], at[i + 3]];
  const c = cross(ax, ay, bx, by, cx, cy) / lengthM;
  if (Math.abs(c) <= TOUCH_M) {
    const alongM = ((cx - ax) * (bx - ax) + (cy - ay) * (by - ay)) / lengthM;
    return alongM > TOUCH_M && alongM < lengthM - TOUCH_M;
  }
  const d = cross(ax, ay, bx, by, dx, dy) / lengthM;
  if (Math.abs(d) <= TOUCH_M || c > 0 === d > 0) return false;
  const edgeM = distanceM(cx, cy, dx, dy);
  const a = cross(cx, cy, dx, dy, ax, ay) / edgeM;
  const b = cross(cx, cy, dx, dy, bx, by) / edgeM;
  return Math.abs(a) > ON_EDGE_M && Math.abs(b) > ON_EDGE_M && a > 0 !== b > 0;
}

function bendingCorners(rings: readonly Ring[], onWall: (x: number, y: number) => boolean): Corners {
  const at: number[] = [];
  const beside: number[] = [];
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const p = (i + n - 2) % n;
      const q = (i + 2) % n;
      const turn = cross(ring[p], ring[p + 1], ring[i], ring[i + 1], ring[q], ring[q + 1]);
      if (turn > TOUCH_M || onWall(ring[i], ring[i + 1])) continue;
      at.push(ring[i], ring[i + 1]);
      beside.push(ring[p], ring[p + 1], ring[q], ring[q + 1]);
    }
  }
  return { at: new Float64Array(at), beside: new Float64Array(beside) };
}
