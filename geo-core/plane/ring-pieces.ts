import type { Ring } from '#geo-core/model/position.ts';
import { distanceM } from './measure.ts';
import { pointAt } from './nearest-between.ts';
import type { Piece } from './wavefront.ts';

/** A stretch of a ring where a path had better not begin or end: metres from the ring's first vertex, may pass the ring's end. */
export type Disliked = { readonly fromM: number; readonly toM: number; readonly costM: number };

/** Where a path may meet a ring, and where it had better not. */
export type Dislikes = {
  /** Turns sharper than 30 degrees are kept clear by this much on both sides, at this cost. */
  readonly cornerClearM: number;
  readonly cornerCostM: number;
  readonly stretches: readonly Disliked[];
};

/** A ring is rounded, not cornered, where it turns by less than this at a vertex. */
const SHARP_TURN_COSINE = Math.sqrt(3) / 2;

/** A ring as pieces that a path may begin or end on, cut where the cost of doing so changes. `edge` i runs from vertex i. */
export function ringPieces(ring: Ring, owner: string, dislikes: Dislikes): Piece[] {
  const count = ring.length / 2;
  const pieces: Piece[] = [];
  const sharp = Array.from({ length: count }, (_, vertex) => isSharp(ring, vertex));
  const ringM = perimeterM(ring);
  let startM = 0;
  for (let edge = 0; edge < count; edge++) {
    const next = (edge + 1) % count;
    const whole = { ax: ring[2 * edge], ay: ring[2 * edge + 1], bx: ring[2 * next], by: ring[2 * next + 1] };
    const edgeM = distanceM(whole.ax, whole.ay, whole.bx, whole.by);
    const clearM = Math.min(dislikes.cornerClearM, edgeM / 2);
    const disliked: Disliked[] = [];
    if (sharp[edge]) disliked.push({ fromM: 0, toM: clearM, costM: dislikes.cornerCostM });
    if (sharp[next]) disliked.push({ fromM: edgeM - clearM, toM: edgeM, costM: dislikes.cornerCostM });
    for (const stretch of dislikes.stretches) {
      for (const lap of [-ringM, 0, ringM]) {
        const fromM = stretch.fromM + lap - startM;
        const toM = stretch.toM + lap - startM;
        if (fromM < edgeM && toM > 0) disliked.push({ fromM, toM, costM: stretch.costM });
      }
    }
    pieces.push(...cutEdge(whole, edgeM, disliked).map((part) => ({ ...part, owner, edge })));
    startM += edgeM;
  }
  return pieces;
}

function cutEdge(
  whole: { readonly ax: number; readonly ay: number; readonly bx: number; readonly by: number },
  edgeM: number,
  disliked: readonly Disliked[],
): Omit<Piece, 'owner' | 'edge'>[] {
  const bounds = [0, ...disliked.flatMap(({ fromM, toM }) => [fromM, toM]), edgeM]
    .filter((atM) => atM >= 0 && atM <= edgeM)
    .toSorted((a, b) => a - b);
  const parts: Omit<Piece, 'owner' | 'edge'>[] = [];
  for (let k = 0; k + 1 < bounds.length; k++) {
    const [fromM, toM] = [bounds[k], bounds[k + 1]];
    if (toM <= fromM) continue;
    const middleM = (fromM + toM) / 2;
    const costM = disliked.reduce(
      (sum, stretch) => (stretch.fromM < middleM && middleM < stretch.toM ? sum + stretch.costM : sum),
      0,
    );
    const [ax, ay] = pointAt(whole, fromM / edgeM);
    const [bx, by] = pointAt(whole, toM / edgeM);
    parts.push({ ax, ay, bx, by, costM });
  }
  return parts;
}

function isSharp(ring: Ring, vertex: number): boolean {
  const n = ring.length;
  const i = 2 * vertex;
  const p = (i + n - 2) % n;
  const q = (i + 2) % n;
  const [ux, uy] = [ring[i] - ring[p], ring[i + 1] - ring[p + 1]];
  const [vx, vy] = [ring[q] - ring[i], ring[q + 1] - ring[i + 1]];
  return ux * vx + uy * vy < SHARP_TURN_COSINE * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}

function perimeterM(ring: Ring): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    sum += distanceM(ring[i], ring[i + 1], ring[j], ring[j + 1]);
  }
  return sum;
}
