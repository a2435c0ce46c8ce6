import type { PlanePoint } from '#geo-core/model/position.ts';
import { clearanceM, footOn, type Walls } from './clearance-walls.ts';

/** A place and the radius of the widest clear circle around it, metres. */
export type Place = { readonly at: PlanePoint; readonly radiusM: number };

/** r <= offset + ux * x + uy * y, or with `wall` 0 a bound of the step that does not speak of r. */
type Bound = { readonly ux: number; readonly uy: number; readonly offset: number; readonly wall: 0 | 1 };
type Vertex = { readonly x: number; readonly y: number; readonly r: number };

const CONVERGED_M = 1e-11;
const MAX_STEPS = 80;
/** Callers start near the top; the box doubles with every step that keeps its promise. */
const FIRST_TRUST_M = 0.1;

/**
 * Climbs from a place inside to the locally widest circle: the centre where the distances to three boundary features are equal
 * (or the ridge of two parallel walls). Sequential linear programming: at the present centre every wall near by bounds the radius by
 * its distance plus the step along the direction away from its nearest point; the best step inside a trust box is taken while
 * it truly widens the circle. Three touching features make a vertex of that programme, so the last steps converge quadratically.
 * Radius within 1e-9 m. The clear radius never falls on the way.
 */
export function widestPlace(walls: Walls, from: PlanePoint, guessM: number): Place {
  let { x, y } = from;
  let radiusM = clearanceM(walls, x, y, guessM);
  let trustM = Math.min(Math.max(radiusM / 8, 1e-3), FIRST_TRUST_M);
  for (let step = 0; step < MAX_STEPS && trustM > 1e-10; step++) {
    const best = bestStep(boundsNear(walls, x, y, radiusM + 3 * trustM), trustM);
    const promisedM = best.r - radiusM;
    if (promisedM < CONVERGED_M) break;
    const reachedM = clearanceM(walls, x + best.x, y + best.y, radiusM + 2 * trustM);
    const gainedM = reachedM - radiusM;
    if (gainedM > 0) {
      x += best.x;
      y += best.y;
      radiusM = reachedM;
    }
    // Within the clear circle: no step leads through a wall.
    if (gainedM > promisedM / 2) trustM = Math.min(2 * trustM, 0.7 * radiusM);
    else if (gainedM < promisedM / 8) trustM /= 4;
  }
  return { at: { x, y }, radiusM };
}

/** One bound for every wall within reach, nearest first. */
function boundsNear(walls: Walls, x: number, y: number, reachM: number): Bound[] {
  const bounds: Bound[] = [];
  walls.index.search(x - reachM, y - reachM, x + reachM, y + reachM, (segment) => {
    const foot = footOn(walls, segment, x, y);
    if (foot.distanceM <= reachM && foot.distanceM > 0) {
      const ux = (x - foot.x) / foot.distanceM;
      const uy = (y - foot.y) / foot.distanceM;
      bounds.push({ ux, uy, offset: foot.distanceM, wall: 1 });
    }
    return false;
  });
  return bounds.sort((a, b) => a.offset - b.offset || a.ux - b.ux || a.uy - b.uy);
}

/**
 * max r subject to all bounds and |x|, |y| <= trust. Bounds are taken in one by one, the most violated first; the new optimum then
 * has that bound tight, so only pairs of the earlier ones are tried with it.
 */
function bestStep(bounds: readonly Bound[], trustM: number): Vertex {
  const active: Bound[] = [
    { ux: 1, uy: 0, offset: trustM, wall: 0 },
    { ux: -1, uy: 0, offset: trustM, wall: 0 },
    { ux: 0, uy: 1, offset: trustM, wall: 0 },
    { ux: 0, uy: -1, offset: trustM, wall: 0 },
  ];
  let best: Vertex = { x: 0, y: 0, r: Number.POSITIVE_INFINITY };
  for (let round = 0; round < 24; round++) {
    const broken = mostBroken(bounds, best);
    if (broken === undefined) break;
    best = bestWithTight(active, broken) ?? { x: 0, y: 0, r: 0 };
    active.push(broken);
  }
  return best;
}

function slack(bound: Bound, at: Vertex): number {
  return bound.offset + bound.ux * at.x + bound.uy * at.y - bound.wall * at.r;
}

function mostBroken(bounds: readonly Bound[], at: Vertex): Bound | undefined {
  if (at.r === Number.POSITIVE_INFINITY) return bounds[0];
  let worst = -1e-12;
  let broken: Bound | undefined;
  for (const bound of bounds) {
    const left = slack(bound, at);
    if (left < worst) {
      worst = left;
      broken = bound;
    }
  }
  return broken;
}

function bestWithTight(active: readonly Bound[], tight: Bound): Vertex | undefined {
  let best: Vertex | undefined;
  for (let i = 0; i < active.length; i++) {
    for (let j = i + 1; j < active.length; j++) {
      const vertex = meet(tight, active[i], active[j]);
      if (vertex === undefined || (best !== undefined && vertex.r <= best.r)) continue;
      if (isFeasible(active, vertex)) best = vertex;
    }
  }
  return best;
}

function isFeasible(active: readonly Bound[], vertex: Vertex): boolean {
  for (const bound of active) if (slack(bound, vertex) < -1e-11) return false;
  return true;
}

/** Where three bounds are tight (Cramer's rule). */
function meet(a: Bound, b: Bound, c: Bound): Vertex | undefined {
  const minorA = b.uy * c.wall - c.uy * b.wall;
  const minorB = a.uy * c.wall - c.uy * a.wall;
  const minorC = a.uy * b.wall - b.uy * a.wall;
  const determinant = a.ux * minorA - b.ux * minorB + c.ux * minorC;
  if (Math.abs(determinant) < 1e-12) return undefined;
  // Rows: u . (x, y) - wall * r = -offset.
  const r = -(
    a.offset * (b.ux * c.uy - b.uy * c.ux) -
    b.offset * (a.ux * c.uy - a.uy * c.ux) +
    c.offset * (a.ux * b.uy - a.uy * b.ux)
  );
  const x = -(a.offset * minorA - b.offset * minorB + c.offset * minorC);
  const y = -(
    a.ux * (b.offset * c.wall - c.offset * b.wall) -
    b.ux * (a.offset * c.wall - c.offset * a.wall) +
    c.ux * (a.offset * b.wall - b.offset * a.wall)
  );
  return { x: x / determinant, y: y / determinant, r: -r / determinant };
}
