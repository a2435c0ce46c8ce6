import { nearestBetween, pointAt, type Segment } from './nearest-between.ts';
import { parameterOnSegment } from './segment.ts';
import { LEAF_SEGMENTS, type SegmentTree, segmentTree } from './segment-tree.ts';

/*
 * Long because it is one search: the cheapest straight legs between two chains, by trees over their pieces, with the bounds
 * that prune it and the order in which equal legs come.
 */

/** A stretch of a line that a path may begin or end on. */
export type Piece = Segment & {
  /** Name of the line the piece is part of, and which of its segments. */
  readonly owner: string;
  readonly edge: number;
  /** What it costs to begin or end here, metres on top of the length: 0 where it is welcome. */
  readonly costM: number;
};

/** The pieces of one owner in order, with a tree over them. */
export type Chain = SegmentTree & {
  readonly owner: string;
  readonly edges: ArrayLike<number>;
  readonly costsM: ArrayLike<number>;
  readonly leastCostM: number;
  readonly mostCostM: number;
};

/** A straight leg from a piece of one chain to a piece of another; `totalM` is its length with the costs of both ends. */
export type Leg = Segment & {
  readonly from: number;
  readonly to: number;
  readonly distanceM: number;
  readonly totalM: number;
};

/** Lengths that agree to a nanometre are equal: then the lower, then the more western leg comes first, on every machine. */
export const orderOf = (lengthM: number): number => Math.round(lengthM * 1e9);

/** A leg may lean over a piece's end by this share of its length before the next piece is taken to be nearer. */
const LEAN = 1e-9;
/** Far above the noise of doubles: what might still tie is looked at, metres. */
const TIE_M = 1e-8;

function chainOf(pieces: readonly Piece[]): Chain {
  const at = new Float64Array(4 * pieces.length);
  for (let k = 0; k < pieces.length; k++) {
    at[4 * k] = pieces[k].ax;
    at[4 * k + 1] = pieces[k].ay;
    at[4 * k + 2] = pieces[k].bx;
    at[4 * k + 3] = pieces[k].by;
  }
  const edges = pieces.map(({ edge }) => edge);
  return chainFrom(
    pieces[0]?.owner ?? '',
    at,
    edges,
    Float64Array.from(pieces, ({ costM }) => costM),
  );
}

/** Pieces -> a chain for every owner, in the order of their first pieces. */
export function chainsOf(pieces: readonly Piece[]): Chain[] {
  const byOwner = new Map<string, Piece[]>();
  for (const piece of pieces) {
    const own = byOwner.get(piece.owner);
    if (own === undefined) byOwner.set(piece.owner, [piece]);
    else own.push(piece);
  }
  return [...byOwner.values()].map(chainOf);
}

/** A chain of pieces given flat: `at` has four numbers a piece, `edges` and `costsM` one. */
export function chainFrom(owner: string, at: Float64Array, edges: ArrayLike<number>, costsM: ArrayLike<number>): Chain {
  let leastCostM = Number.POSITIVE_INFINITY;
  let mostCostM = 0;
  for (let k = 0; k < costsM.length; k++) {
    leastCostM = Math.min(leastCostM, costsM[k]);
    mostCostM = Math.max(mostCostM, costsM[k]);
  }
  const { count, boxes, firstLeaf } = segmentTree(at);
  return { count, at, boxes, firstLeaf, owner, edges, costsM, leastCostM, mostCostM };
}

/** A chain of one point that costs nothing. */
export function pointChain(owner: string, edge: number, x: number, y: number): Chain {
  return chainFrom(owner, Float64Array.of(x, y, x, y), [edge], [0]);
}

export function pieceOf({ owner, edges, costsM, at }: Chain, index: number): Piece {
  const i = 4 * index;
  const segment = { ax: at[i], ay: at[i + 1], bx: at[i + 2], by: at[i + 3] };
  return { owner, edge: edges[index], costM: costsM[index], ...segment };
}

/** The chain without what lies outside the stretches (parameters from 0 to 1) that `clip` keeps of each piece. */
export function clippedChain(
  chain: Chain,
  clip: (ax: number, ay: number, bx: number, by: number) => readonly (readonly [number, number])[],
): Chain | undefined {
  const pieces: Piece[] = [];
  for (let index = 0; index < chain.count; index++) {
    const piece = pieceOf(chain, index);
    for (const [s, t] of clip(piece.ax, piece.ay, piece.bx, piece.by)) {
      const [ax, ay] = pointAt(piece, s);
      const [bx, by] = pointAt(piece, t);
      pieces.push({ ...piece, ax, ay, bx, by });
    }
  }
  return pieces.length === 0 ? undefined : chainOf(pieces);
}

/** How far the boxes of two chains are apart: no leg between them is shorter. */
export function chainsApartM(p: Chain, q: Chain): number {
  return Math.sqrt(boxesApartM2(p.boxes, 4, q.boxes, 4));
}

function boxesApartM2(p: Float64Array, i: number, q: Float64Array, j: number): number {
  const dx = Math.max(0, p[i] - q[j + 2], q[j] - p[i + 2]);
  const dy = Math.max(0, p[i + 1] - q[j + 3], q[j + 1] - p[i + 3]);
  return dx * dx + dy * dy;
}

/** The shortest leg between two chains that do not cross, costs counted, with no heed of what stands between. */
export function shortestLeg(p: Chain, q: Chain): Leg {
  const costM = p.leastCostM + q.leastCostM;
  let best: Leg | undefined;
  let mostM = Number.POSITIVE_INFINITY;
  const stack: number[] = [1, 1];
  while (stack.length > 0) {
    const j = stack.pop() ?? 0;
    const i = stack.pop() ?? 0;
    if (best !== undefined && (mostM < costM || boxesApartM2(p.boxes, 4 * i, q.boxes, 4 * j) > square(mostM - costM)))
      continue;
    if (i < p.firstLeaf || j < q.firstLeaf) {
      pushNearerLast(stack, p, i, q, j);
      continue;
    }
    best = shortestOfLeaves(p, i - p.firstLeaf, q, j - q.firstLeaf, best);
    if (best !== undefined) mostM = best.totalM + TIE_M;
  }
  if (best === undefined) throw new Error('a chain has no pieces');
  return best;
}

const square = (value: number): number => value * value;

/** Splits the node with the larger box; the nearer half comes off the stack first. */
function pushNearerLast(stack: number[], p: Chain, i: number, q: Chain, j: number): void {
  const splitP = j >= q.firstLeaf || (i < p.firstLeaf && spanOf(p.boxes, 4 * i) >= spanOf(q.boxes, 4 * j));
  const i1 = splitP ? 2 * i : i;
  const i2 = splitP ? i1 + 1 : i;
  const j1 = splitP ? j : 2 * j;
  const j2 = splitP ? j : j1 + 1;
  const first = boxesApartM2(p.boxes, 4 * i1, q.boxes, 4 * j1);
  const second = boxesApartM2(p.boxes, 4 * i2, q.boxes, 4 * j2);
  if (first <= second) stack.push(i2, j2, i1, j1);
  else stack.push(i1, j1, i2, j2);
}

const spanOf = (boxes: Float64Array, k: number): number => boxes[k + 2] - boxes[k] + boxes[k + 3] - boxes[k + 1];

function shortestOfLeaves(p: Chain, leafP: number, q: Chain, leafQ: number, found: Leg | undefined): Leg | undefined {
  let best = found;
  const endP = Math.min(p.count, (leafP + 1) * LEAF_SEGMENTS);
  const endQ = Math.min(q.count, (leafQ + 1) * LEAF_SEGMENTS);
  for (let from = leafP * LEAF_SEGMENTS; from < endP; from++) {
    for (let to = leafQ * LEAF_SEGMENTS; to < endQ; to++) {
      const costM = p.costsM[from] + q.costsM[to];
      const spareM = best === undefined ? Number.POSITIVE_INFINITY : best.totalM - costM + TIE_M;
      if (spareM < 0 || apartM2(p.at, 4 * from, q.at, 4 * to) > spareM * spareM) continue;
      const leg = legBetween(p, from, q, to);
      if (best === undefined || comesFirst(leg, best)) best = leg;
    }
  }
  return best;
}

function legBetween(p: Chain, from: number, q: Chain, to: number): Leg {
  const { ax, ay, bx, by, distanceM } = nearestBetween(segmentAt(p.at, 4 * from), segmentAt(q.at, 4 * to));
  return { ax, ay, bx, by, distanceM, from, to, totalM: distanceM + p.costsM[from] + q.costsM[to] };
}

const segmentAt = (at: Float64Array, i: number): Segment => ({
  ax: at[i],
  ay: at[i + 1],
  bx: at[i + 2],
  by: at[i + 3],
});

/** Whether a leg is shorter, or as short and lower, or as low and more western. */
function comesFirst(a: Leg, b: Leg): boolean {
  const shorter = orderOf(a.totalM) - orderOf(b.totalM);
  return (shorter || a.ay - b.ay || a.ax - b.ax || a.by - b.by || a.bx - b.bx) < 0;
}

/**
 * Legs longer than `overM` up to `mostM` (lengths without costs) that no small move of an end along its chain would shorten,
 * the shortest first: if a straight leg is part of a shortest path, it is one of these.
 */
export function steadyLegs(p: Chain, q: Chain, overM: number, mostM: number): Leg[] {
  const legs: Leg[] = [];
  const stack: number[] = [1, 1];
  while (stack.length > 0) {
    const j = stack.pop() ?? 0;
    const i = stack.pop() ?? 0;
    if (boxesApartM2(p.boxes, 4 * i, q.boxes, 4 * j) > mostM * mostM) continue;
    if (i < p.firstLeaf || j < q.firstLeaf) pushNearerLast(stack, p, i, q, j);
    else steadyOfLeaves(p, i - p.firstLeaf, q, j - q.firstLeaf, overM, mostM, legs);
  }
  return legs.length < 2 ? legs : legs.toSorted((a, b) => (comesFirst(a, b) ? -1 : 1));
}

function steadyOfLeaves(
  p: Chain,
  leafP: number,
  q: Chain,
  leafQ: number,
  overM: number,
  mostM: number,
  legs: Leg[],
): void {
  const endP = Math.min(p.count, (leafP + 1) * LEAF_SEGMENTS);
  const endQ = Math.min(q.count, (leafQ + 1) * LEAF_SEGMENTS);
  for (let from = leafP * LEAF_SEGMENTS; from < endP; from++) {
    for (let to = leafQ * LEAF_SEGMENTS; to < endQ; to++) {
      if (!mayBeSteady(p, from, q, to, overM - TIE_M, mostM + TIE_M)) continue;
      const leg = legBetween(p, from, q, to);
      if (leg.distanceM <= overM || leg.distanceM > mostM) continue;
      const dx = leg.bx - leg.ax;
      const dy = leg.by - leg.ay;
      if (isSteady(p, from, leg.ax, leg.ay, dx, dy) && isSteady(q, to, leg.bx, leg.by, -dx, -dy)) legs.push(leg);
    }
  }
}

/** The same as looking at the leg itself, without making one: false only where the nearest points of two pieces are unsteady. */
function mayBeSteady(p: Chain, from: number, q: Chain, to: number, overM: number, mostM: number): boolean {
  const i = 4 * from;
  const j = 4 * to;
  const d0 = offM2(p.at[i], p.at[i + 1], q.at, j);
  const d1 = isPoint(p.at, i) ? d0 : offM2(p.at[i + 2], p.at[i + 3], q.at, j);
  const d2 = offM2(q.at[j], q.at[j + 1], p.at, i);
  const d3 = isPoint(q.at, j) ? d2 : offM2(q.at[j + 2], q.at[j + 3], p.at, i);
  const least = Math.min(d0, d1, d2, d3);
  if (least > mostM * mostM || (overM > 0 && least <= overM * overM)) return false;
  for (let e = 0; e <= 2; e += 2) {
    for (let f = 0; f <= 2; f += 2) {
      if (square(p.at[i + e] - q.at[j + f]) + square(p.at[i + e + 1] - q.at[j + f + 1]) > least) continue;
      return isSteadyEnd(p, from, i + e, q.at, j + f) && isSteadyEnd(q, to, j + f, p.at, i + e);
    }
  }
  const tied = square(Math.sqrt(least) + 2 * TIE_M);
  if (Number(d0 <= tied) + Number(d1 <= tied) + Number(d2 <= tied) + Number(d3 <= tied) > 1) return true;
  if (least === d0 || least === d1) return isSteadyFoot(p, from, least === d0 ? i : i + 2, q.at, j);
  return isSteadyFoot(q, to, least === d2 ? j : j + 2, p.at, i);
}

const isPoint = (at: Float64Array, i: number): boolean => at[i] === at[i + 2] && at[i + 1] === at[i + 3];

/** Whether the leg from an end of a piece (at offset `end`) to a vertex is steady at that end. */
function isSteadyEnd(chain: Chain, index: number, end: number, other: Float64Array, vertex: number): boolean {
  const [x, y] = [chain.at[end], chain.at[end + 1]];
  return isSteady(chain, index, x, y, other[vertex] - x, other[vertex + 1] - y);
}

/** Whether the leg from an end of a piece (at offset `end`) to the nearest point of another piece is steady at that end. */
function isSteadyFoot(chain: Chain, index: number, end: number, other: Float64Array, j: number): boolean {
  const x = chain.at[end];
  const y = chain.at[end + 1];
  const t = parameterOnSegment(x, y, other[j], other[j + 1], other[j + 2], other[j + 3]);
  const dx = other[j] + t * (other[j + 2] - other[j]) - x;
  const dy = other[j + 1] + t * (other[j + 3] - other[j + 1]) - y;
  return isSteady(chain, index, x, y, dx, dy);
}

/** Whether a leg that leaves a piece at (x, y) in direction (dx, dy) would grow if its end moved on to the neighbouring piece. */
function isSteady(chain: Chain, index: number, x: number, y: number, dx: number, dy: number): boolean {
  const { at, count } = chain;
  const i = 4 * index;
  const atStart = x === at[i] && y === at[i + 1];
  const atEnd = x === at[i + 2] && y === at[i + 3];
  return !(
    (atStart && movesOn(chain, index, (index + count - 1) % count, x, y, dx, dy)) ||
    (atEnd && movesOn(chain, index, (index + 1) % count, x, y, dx, dy))
  );
}

function movesOn(
  { at, costsM }: Chain,
  own: number,
  other: number,
  x: number,
  y: number,
  dx: number,
  dy: number,
): boolean {
  const k = 4 * other;
  const meetsStart = at[k] === x && at[k + 1] === y;
  const meetsEnd = at[k + 2] === x && at[k + 3] === y;
  if (other === own || meetsStart === meetsEnd || costsM[other] > costsM[own]) return false;
  if (costsM[other] < costsM[own]) return true;
  const ux = (meetsStart ? at[k + 2] : at[k]) - x;
  const uy = (meetsStart ? at[k + 3] : at[k + 1]) - y;
  const dot = ux * dx + uy * dy;
  return dot > 0 && dot * dot > LEAN * LEAN * (ux * ux + uy * uy) * (dx * dx + dy * dy);
}

/** Squared distance between two segments that do not cross. */
function apartM2(p: Float64Array, i: number, q: Float64Array, j: number): number {
  return Math.min(
    offM2(p[i], p[i + 1], q, j),
    offM2(p[i + 2], p[i + 3], q, j),
    offM2(q[j], q[j + 1], p, i),
    offM2(q[j + 2], q[j + 3], p, i),
  );
}

function offM2(x: number, y: number, at: Float64Array, i: number): number {
  const t = parameterOnSegment(x, y, at[i], at[i + 1], at[i + 2], at[i + 3]);
  if (t === 1) return square(x - at[i + 2]) + square(y - at[i + 3]);
  return square(x - at[i] - t * (at[i + 2] - at[i])) + square(y - at[i + 1] - t * (at[i + 3] - at[i + 1]));
}
