import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import { conflictingChanges } from './conflicting-changes.ts';
import { cornerCuts } from './drivable-corners.ts';
import { fewestBends } from './fewest-bends.ts';
import { changedRing, type RingChange } from './ring-change.ts';

/** Metres: how far a bend may stray into the working area, the leg of a cut corner, the least gap between wires. */
export type Drivable = { readonly bendToleranceM: number; readonly legM: number; readonly gapM: number };

/** Cut corners that are still too sharp are cut again, this often at most. */
const MOST_PASSES = 6;
/** What is in the way of a cut is given this many chances of a smaller one. */
const MOST_ROUNDS = 8;

/** The loops laid anew, and the corners that stayed too sharp. */
export type DrivenLoops = { readonly loops: Polygon; readonly tooSharp: readonly PlanePoint[] };

/**
 * The loops of a working area as a crew pegs them and a machine follows them: bends with the fewest vertices, then no corner
 * sharper than one peg allows. The wire only ever moves into the working area, so other areas are never in its way. What would cross
 * or touch another wire, or come nearer than the gap to one that faces it, is laid with a smaller cut or as it was.
 */
export function drivableLoops({ outer, holes }: Polygon, { bendToleranceM, legM, gapM }: Drivable): DrivenLoops {
  const drawn = [outer, ...holes];
  let rings = laidAnew(
    drawn,
    drawn.map((ring) => fewestBends(ring, bendToleranceM)),
    asItWas,
    gapM,
  );
  const sharp = (ring: Ring): readonly RingChange[] => (legM > 0 ? cornerCuts(ring, legM) : []);
  let cuts = rings.map(sharp);
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    const cut = laidAnew(rings, cuts, halved, gapM);
    if (cut === rings) break;
    rings = cut;
    cuts = rings.map(sharp);
  }
  const tooSharp = cuts.flatMap((each, r) =>
    each.map(({ first }) => ({ x: rings[r][2 * first], y: rings[r][2 * first + 1] })),
  );
  return { loops: { outer: rings[0], holes: rings.slice(1) }, tooSharp };
}

type Retry = (ring: Ring, change: RingChange) => RingChange | undefined;

const asItWas: Retry = () => undefined;

/** The same cut, half as far from its first and its last vertex. */
const halved: Retry = (ring, { first, count, xy, endsOnEdges }) => {
  if (!endsOnEdges) return undefined;
  const last = (first + count - 1) % (ring.length / 2);
  const nearer = xy.map((value, k) => (value + ring[2 * (2 * k < xy.length ? first : last) + (k % 2)]) / 2);
  return { first, count, xy: nearer, endsOnEdges };
};

/** The rings with the changes proposed for each, as far as they get along with all the others. */
function laidAnew(
  rings: readonly Ring[],
  proposed: readonly (readonly RingChange[])[],
  retry: Retry,
  gapM: number,
): readonly Ring[] {
  let changes = proposed;
  for (let round = 0; changes.some((each) => each.length > 0); round++) {
    const laid = rings.map((ring, r) => changedRing(ring, changes[r]));
    const conflicts = conflictingChanges(laid, gapM);
    if (conflicts.every(({ size }) => size === 0)) return laid.map(({ ring }) => ring);
    changes = changes.map((each, r) =>
      each.flatMap((change, k) => {
        if (!conflicts[r].has(k)) return [change];
        const again = round < MOST_ROUNDS ? retry(rings[r], change) : undefined;
        return again === undefined ? [] : [again];
      }),
    );
  }
  return rings;
}
