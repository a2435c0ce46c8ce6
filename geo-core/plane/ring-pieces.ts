import type { Ring } from '#geo-core/model/position.ts';
import { type Chain, chainFrom } from './chain.ts';
import { distanceM, ringLengthM } from './measure.ts';

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
export function ringPieces(ring: Ring, owner: string, dislikes: Dislikes): Chain {
  const count = ring.length / 2;
  const at: number[] = [];
  const edges: number[] = [];
  const costsM: number[] = [];
  const push = (edge: number, ax: number, ay: number, bx: number, by: number, costM: number): void => {
    at.push(ax, ay, bx, by);
    edges.push(edge);
    costsM.push(costM);
  };
  const ringM = dislikes.stretches.length === 0 ? 0 : ringLengthM(ring);
  let startM = 0;
  let sharpStart = isSharp(ring, 0);
  const sharpFirst = sharpStart;
  for (let edge = 0; edge < count; edge++) {
    const next = edge + 1 === count ? 0 : edge + 1;
    const sharpEnd = next === 0 ? sharpFirst : isSharp(ring, next);
    const [ax, ay, bx, by] = [ring[2 * edge], ring[2 * edge + 1], ring[2 * next], ring[2 * next + 1]];
    if (!sharpStart && !sharpEnd && ringM === 0) {
      push(edge, ax, ay, bx, by, 0);
    } else {
      const edgeM = distanceM(ax, ay, bx, by);
      const disliked = [
        ...cornersOf(edgeM, sharpStart, sharpEnd, dislikes),
        ...stretchesOf(startM, edgeM, ringM, dislikes.stretches),
      ];
      for (const { fromM, toM, costM } of cutEdge(edgeM, disliked)) {
        const [s, t] = [fromM / edgeM, toM / edgeM];
        const from = s === 0 ? [ax, ay] : [ax + s * (bx - ax), ay + s * (by - ay)];
        const to = t === 1 ? [bx, by] : [ax + t * (bx - ax), ay + t * (by - ay)];
        push(edge, from[0], from[1], to[0], to[1], costM);
      }
      startM += edgeM;
    }
    sharpStart = sharpEnd;
  }
  return chainFrom(owner, Float64Array.from(at), edges, costsM);
}

function cornersOf(edgeM: number, sharpStart: boolean, sharpEnd: boolean, dislikes: Dislikes): Disliked[] {
  const clearM = Math.min(dislikes.cornerClearM, edgeM / 2);
  const disliked: Disliked[] = [];
  if (sharpStart) disliked.push({ fromM: 0, toM: clearM, costM: dislikes.cornerCostM });
  if (sharpEnd) disliked.push({ fromM: edgeM - clearM, toM: edgeM, costM: dislikes.cornerCostM });
  return disliked;
}

/** Stretches of the ring as metres from the start of one of its edges, where they meet it. */
function stretchesOf(startM: number, edgeM: number, ringM: number, stretches: readonly Disliked[]): Disliked[] {
  return stretches.flatMap((stretch) =>
    [-ringM, 0, ringM]
      .map((lap) => ({ ...stretch, fromM: stretch.fromM + lap - startM, toM: stretch.toM + lap - startM }))
      .filter(({ fromM, toM }) => fromM < edgeM && toM > 0),
  );
}

/** An edge cut at the ends of disliked stretches; their costs add up. */
function cutEdge(edgeM: number, disliked: readonly Disliked[]): Disliked[] {
  if (disliked.length === 0) return edgeM > 0 ? [{ fromM: 0, toM: edgeM, costM: 0 }] : [];
  const bounds = [0, ...disliked.flatMap(({ fromM, toM }) => [fromM, toM]), edgeM]
    .filter((atM) => atM >= 0 && atM <= edgeM)
    .toSorted((a, b) => a - b);
  const parts: Disliked[] = [];
  for (let k = 0; k + 1 < bounds.length; k++) {
    const [fromM, toM] = [bounds[k], bounds[k + 1]];
    if (toM <= fromM) continue;
    const middleM = (fromM + toM) / 2;
    const costM = disliked.reduce(
      (sum, stretch) => (stretch.fromM < middleM && middleM < stretch.toM ? sum + stretch.costM : sum),
      0,
    );
    parts.push({ fromM, toM, costM });
  }
  return parts;
}

function isSharp(ring: Ring, vertex: number): boolean {
  const n = ring.length;
  const i = 2 * vertex;
  const p = i === 0 ? n - 2 : i - 2;
  const q = i + 2 === n ? 0 : i + 2;
  const ux = ring[i] - ring[p];
  const uy = ring[i + 1] - ring[p + 1];
  const vx = ring[q] - ring[i];
  const vy = ring[q + 1] - ring[i + 1];
  return ux * vx + uy * vy < SHARP_TURN_COSINE * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy));
}
