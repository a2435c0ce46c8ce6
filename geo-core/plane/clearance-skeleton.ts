import Delaunator from 'delaunator';
import type { PlanePoint } from '#geo-core/model/position.ts';
import { criticalChord, type MeasuredChord } from './clearance-chords.ts';
import { crossesWall, sampleWalls, type Tier, type Walls } from './clearance-walls.ts';
import { cross } from './segment.ts';

/**
 * The ground as a graph: circles between sampled walls (nodes) and the ways from one to the next (links).
 *
 * Superlevel sets of the distance to the samples shrink on to their Voronoi graph, so the graph joins two places at a level whenever
 * ground of that clearance joins them (distance to samples >= distance to walls). A link between circles that lie on both sides of the
 * chord of its two samples is a saddle of the sampled distance; there the true saddle, the clear chord between the true walls, takes
 * its place. Samples nearer to each other than twice the least clearance that is followed let no way slip through a wall, so
 * the triangulation need not conform to the boundary: nothing is split, nothing is repeated. Where narrower ways are followed than the
 * spacing allows, a way is held against the walls instead.
 */
export type Skeleton = {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Circle radius in the sampled ground, metres; 0 = no node. The true clearance is at least sqrt(r^2 - (coarseM / 2)^2). */
  readonly radiusM: Float64Array;
  readonly links: readonly Link[];
  readonly samples: Float64Array;
  /** The widest circle over ground too narrow to be followed; only where there is no node at all. */
  readonly narrowest?: PlanePoint;
};

export type Link = {
  readonly from: number;
  readonly to: number;
  /** Half the clear width on the way. */
  readonly halfM: number;
  /** Boundary samples on both sides of the way. */
  readonly a: PlanePoint;
  readonly b: PlanePoint;
  readonly critical?: MeasuredChord;
};

export type SkeletonLimits = {
  /** Least half width that is followed. */
  readonly floorM: number;
  /** Saddles with a half width up to this one are looked for on the true walls. */
  readonly exactM: number;
  readonly coarseM: number;
  readonly tiers: readonly Tier[];
  /** How far from the samples the ends of a true chord may lie. */
  readonly windowM: number;
};

/** Samples of walls that face each other are nearly opposite in the circle over a way between them: their chord is nearly its diameter. */
const FACING = 0.8;

export function traceSkeleton(walls: Walls, { floorM, exactM, coarseM, tiers, windowM }: SkeletonLimits): Skeleton {
  const samples = sampleWalls(walls, coarseM, tiers);
  const { triangles, halfedges } = new Delaunator(samples);
  const nodes = circlesInside(walls, samples, triangles, floorM);
  const { x, y, radiusM } = nodes;
  const links: Link[] = [];
  const at = (sample: number): PlanePoint => ({ x: samples[2 * sample], y: samples[2 * sample + 1] });
  for (let e = 0; e < halfedges.length; e++) {
    const twin = halfedges[e];
    if (twin <= e) continue;
    const from = Math.floor(e / 3);
    const to = Math.floor(twin / 3);
    if (radiusM[from] === 0 || radiusM[to] === 0) continue;
    const a = triangles[e];
    const b = triangles[twin];
    let halfM = Math.min(radiusM[from], radiusM[to]);
    if (isAcute(samples, a, b, triangles[third(e)]) && isAcute(samples, a, b, triangles[third(twin)])) {
      halfM = Math.min(halfM, halfChordM(samples, a, b));
      if (halfM < floorM) continue;
    }
    let critical: MeasuredChord | undefined;
    if (halfM < exactM && halfChordM(samples, a, b) > FACING * halfM) {
      const chord = criticalChord(walls, at(a), at(b), windowM, floorM / 2, halfM);
      if (chord !== undefined && crosses(chord, x[from], y[from], x[to], y[to])) critical = chord;
    }
    if (critical !== undefined) halfM = critical.halfM;
    if (2 * halfM <= coarseM && crossesWall(walls, x[from], y[from], x[to], y[to])) continue;
    links.push({ from, to, halfM, a: at(a), b: at(b), ...(critical && { critical }) });
  }
  return { ...nodes, links, samples };
}

function circlesInside(
  walls: Walls,
  samples: Float64Array,
  triangles: Uint32Array,
  floorM: number,
): Pick<Skeleton, 'x' | 'y' | 'radiusM' | 'narrowest'> {
  const count = triangles.length / 3;
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  const radiusM = new Float64Array(count);
  let hasNode = false;
  const slim: { at: PlanePoint; radiusM: number }[] = [];
  for (let t = 0; t < count; t++) {
    const a = 2 * triangles[3 * t];
    const b = 2 * triangles[3 * t + 1];
    const c = 2 * triangles[3 * t + 2];
    const bx = samples[b] - samples[a];
    const by = samples[b + 1] - samples[a + 1];
    const cx = samples[c] - samples[a];
    const cy = samples[c + 1] - samples[a + 1];
    const half = 0.5 / (bx * cy - by * cx);
    const ux = half * (cy * (bx * bx + by * by) - by * (cx * cx + cy * cy));
    const uy = half * (bx * (cx * cx + cy * cy) - cx * (bx * bx + by * by));
    const r = Math.sqrt(ux * ux + uy * uy);
    if (!(r < walls.spanM)) continue;
    x[t] = samples[a] + ux;
    y[t] = samples[a + 1] + uy;
    if (r >= floorM) {
      if (!walls.holds(x[t], y[t])) continue;
      radiusM[t] = r;
      hasNode = true;
    } else if (!hasNode) slim.push({ at: { x: x[t], y: y[t] }, radiusM: r });
  }
  if (hasNode) return { x, y, radiusM };
  const narrowest = slim.sort((one, two) => two.radiusM - one.radiusM).find(({ at }) => walls.holds(at.x, at.y))?.at;
  return { x, y, radiusM, ...(narrowest && { narrowest }) };
}

/** Whether a way leads from one side of the chord to the other, or ends on it (within a thousandth of a millimetre). */
function crosses({ p, q, halfM }: MeasuredChord, ax: number, ay: number, bx: number, by: number): boolean {
  const a = cross(p.x, p.y, q.x, q.y, ax, ay);
  const b = cross(p.x, p.y, q.x, q.y, bx, by);
  const slack = 2e-6 * halfM;
  return (a >= -slack && b <= slack) || (a <= slack && b >= -slack);
}

function third(halfedge: number): number {
  return halfedge % 3 === 0 ? halfedge + 2 : halfedge - 1;
}

/** Whether the angle over the chord a-b at the apex is at most a right angle. */
function isAcute(samples: Float64Array, a: number, b: number, apex: number): boolean {
  const x = samples[2 * apex];
  const y = samples[2 * apex + 1];
  return (samples[2 * a] - x) * (samples[2 * b] - x) + (samples[2 * a + 1] - y) * (samples[2 * b + 1] - y) >= 0;
}

function halfChordM(samples: Float64Array, a: number, b: number): number {
  const dx = samples[2 * a] - samples[2 * b];
  const dy = samples[2 * a + 1] - samples[2 * b + 1];
  return Math.sqrt(dx * dx + dy * dy) / 2;
}
