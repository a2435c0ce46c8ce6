import type { Chain } from '#geo-core/plane/chain.ts';
import { arcTangent } from '#geo-core/projection/portable-functions.ts';

/** A corner of a chain or one of its pieces (flat x, y), and the edge of its ring. */
export type Part = { readonly at: Float64Array; readonly edge: number };

/** Where a leg may end: a run of neighbouring corners and pieces of one member. */
export type LegEnd = {
  readonly member: number;
  readonly parts: readonly Part[];
  /** The corners of all parts, flat x, y. */
  readonly corners: Float64Array;
  /** Whether a leg may end anywhere on the outline of its hull. */
  readonly isConvex: boolean;
};

/** A whole turn is seen in so many sectors, a multiple of 6. */
export const SECTORS = 96;
export const SECTOR = (2 * Math.PI) / SECTORS;
/** What lies this near the side of a sector lies in both, so that the last bit of an arctangent decides nothing. */
const SLACK = 1e-7;
const QUARTER = Math.PI / 2;

/**
 * For every sector of directions the places of a chain where the shortest network may end a leg that comes in such a direction: along a
 * piece the leg stands square to it, at a corner it would grow on both sides. Only pieces that `isNear` are looked at.
 */
export function legEnds(chain: Chain, member: number, isNear: (piece: number) => boolean): LegEnd[][] {
  const { at, count, edges } = chain;
  const runs: { last: number; parts: Part[] }[][] = [];
  for (let sector = 0; sector < SECTORS; sector++) runs.push([]);
  const headings = new Float64Array(count);
  for (let k = 0; k < count; k++) headings[k] = arcTangent(at[4 * k + 3] - at[4 * k + 1], at[4 * k + 2] - at[4 * k]);
  const partAt = (piece: number, from: number, before: number): Part => ({
    at: at.subarray(4 * piece + from, 4 * piece + before),
    edge: edges[piece],
  });
  const add = (part: Part, piece: number, from: number, to: number): void => {
    const first = Math.floor((from - SLACK) / SECTOR);
    const last = Math.min(first + SECTORS - 1, Math.floor((to + SLACK) / SECTOR));
    for (let k = first; k <= last; k++) {
      const own = runs[((k % SECTORS) + SECTORS) % SECTORS];
      const run = own[own.length - 1];
      if (run === undefined || run.last < piece - 1) own.push({ last: piece, parts: [part] });
      else {
        run.last = piece;
        run.parts.push(part);
      }
    }
  };
  for (let piece = 0; piece < count; piece++) {
    if (!isNear(piece)) continue;
    const i = 4 * piece;
    const own = headings[piece];
    if (at[i] === at[i + 2] && at[i + 1] === at[i + 3]) {
      add(partAt(piece, 0, 2), piece, 0, 2 * Math.PI);
      continue;
    }
    if (!meets(chain, piece === 0 ? count - 1 : piece - 1, piece)) {
      add(partAt(piece, 0, 2), piece, own - QUARTER, own + QUARTER);
    }
    const whole = partAt(piece, 0, 4);
    add(whole, piece, own + QUARTER, own + QUARTER);
    add(whole, piece, own - QUARTER, own - QUARTER);
    const end = partAt(piece, 2, 4);
    const next = piece + 1 === count ? 0 : piece + 1;
    if (!meets(chain, piece, next)) {
      add(end, piece, own + QUARTER, own + 3 * QUARTER);
      continue;
    }
    let turn = headings[next] - own;
    if (turn > Math.PI) turn -= 2 * Math.PI;
    if (turn <= -Math.PI) turn += 2 * Math.PI;
    if (turn >= 0) add(end, piece, own + QUARTER, own + turn + QUARTER);
    else add(end, piece, own + turn - QUARTER, own - QUARTER);
  }
  return runs.map((sector) => sector.map(({ parts }) => legEnd(member, parts)));
}

/** Pieces of a chain, `from` the first to before the last. */
export function partsOf({ at, edges }: Chain, from: number, before: number): Part[] {
  const parts: Part[] = [];
  for (let k = from; k < before; k++) parts.push({ at: at.subarray(4 * k, 4 * k + 4), edge: edges[k] });
  return parts;
}

/** A run of parts as one end. */
export function legEnd(member: number, parts: readonly Part[]): LegEnd {
  if (parts.length === 1) return { member, parts, corners: parts[0].at, isConvex: true };
  const corners: number[] = [];
  for (const { at } of parts) {
    const k = corners.length;
    // A piece that goes on from the one before has its first corner already.
    const isThere = k > 0 && at[0] === corners[k - 2] && at[1] === corners[k - 1];
    for (let i = isThere ? 2 : 0; i < at.length; i++) corners.push(at[i]);
  }
  return { member, parts, corners: new Float64Array(corners), isConvex: false };
}

/** Whether a piece ends where another begins. */
function meets({ at }: Chain, piece: number, next: number): boolean {
  return piece !== next && at[4 * piece + 2] === at[4 * next] && at[4 * piece + 3] === at[4 * next + 1];
}
