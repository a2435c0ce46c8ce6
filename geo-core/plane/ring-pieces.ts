import type { Ring } from '#geo-core/model/position.ts';
import { type Chain, chainFrom } from './chain.ts';
import { distanceM, ringLengthM } from './measure.ts';

/** A stretch of a ring: metres from the ring's first vertex, may pass the ring's end. */
export type Stretch = { readonly fromM: number; readonly toM: number };

/** Where a path may not meet a ring. */
export type Unwelcome = {
  /** Turns sharper than 60 degrees are kept clear by this much on both sides. */
  readonly cornerClearM: number;
  readonly without: readonly Stretch[];
};

/** A ring is rounded, not cornered, where it turns by less than this at a vertex: a square corner is laid as two turns of 45 degrees. */
const SHARP_TURN_COSINE = 0.5;

/** A ring as pieces that a path may begin or end on; all of it where nothing else would be left. `edge` i runs from vertex i. */
export function ringPieces(ring: Ring, owner: string, unwelcome: Unwelcome): Chain {
  const count = ring.length / 2;
  const at: number[] = [];
  const edges: number[] = [];
  const ringM = unwelcome.without.length === 0 ? 0 : ringLengthM(ring);
  let startM = 0;
  let sharpStart = isSharp(ring, 0);
  const sharpFirst = sharpStart;
  for (let edge = 0; edge < count; edge++) {
    const next = edge + 1 === count ? 0 : edge + 1;
    const sharpEnd = next === 0 ? sharpFirst : isSharp(ring, next);
    const [ax, ay, bx, by] = [ring[2 * edge], ring[2 * edge + 1], ring[2 * next], ring[2 * next + 1]];
    if (!sharpStart && !sharpEnd && ringM === 0) {
      at.push(ax, ay, bx, by);
      edges.push(edge);
    } else {
      const edgeM = distanceM(ax, ay, bx, by);
      const taken = [
        ...cornersOf(edgeM, sharpStart, sharpEnd, unwelcome.cornerClearM),
        ...stretchesOf(startM, edgeM, ringM, unwelcome.without),
      ];
      for (const { fromM, toM } of leftOf(edgeM, taken)) {
        const [s, t] = [fromM / edgeM, toM / edgeM];
        const from = s === 0 ? [ax, ay] : [ax + s * (bx - ax), ay + s * (by - ay)];
        const to = t === 1 ? [bx, by] : [ax + t * (bx - ax), ay + t * (by - ay)];
        at.push(from[0], from[1], to[0], to[1]);
        edges.push(edge);
      }
      startM += edgeM;
    }
    sharpStart = sharpEnd;
  }
  const isAll = unwelcome.cornerClearM === 0 && unwelcome.without.length === 0;
  if (edges.length === 0 && !isAll) return ringPieces(ring, owner, { cornerClearM: 0, without: [] });
  return chainFrom(owner, new Float64Array(at), edges, new Float64Array(edges.length));
}

function cornersOf(edgeM: number, sharpStart: boolean, sharpEnd: boolean, clearM: number): Stretch[] {
  const taken: Stretch[] = [];
  if (sharpStart) taken.push({ fromM: 0, toM: clearM });
  if (sharpEnd) taken.push({ fromM: edgeM - clearM, toM: edgeM });
  return taken;
}

/** Stretches of the ring as metres from the start of one of its edges, where they meet it. */
function stretchesOf(startM: number, edgeM: number, ringM: number, stretches: readonly Stretch[]): Stretch[] {
  return stretches.flatMap((stretch) =>
    [-ringM, 0, ringM]
      .map((lap) => ({ fromM: stretch.fromM + lap - startM, toM: stretch.toM + lap - startM }))
      .filter(({ fromM, toM }) => fromM < edgeM && toM > 0),
  );
}

/** What is left of an edge; nothing is left of one of no length. */
function leftOf(edgeM: number, taken: readonly Stretch[]): Stretch[] {
  const left: Stretch[] = [];
  let atM = 0;
  for (const { fromM, toM } of taken.toSorted((p, q) => p.fromM - q.fromM)) {
    if (fromM > atM) left.push({ fromM: atM, toM: fromM });
    atM = Math.max(atM, toM);
  }
  if (atM < edgeM) left.push({ fromM: atM, toM: edgeM });
  return left;
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
