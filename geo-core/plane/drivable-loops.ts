import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { conflictingChanges } from './conflicting-changes.ts';
import { cornerCuts } from './drivable-corners.ts';
import { fewestBends } from './fewest-bends.ts';
import { ringsOf } from './polygons.ts';
import { changedRing, type RingChange } from './ring-change.ts';

/** Metres: how far a bend may stray into the working area, the leg of a cut corner, the least gap between wires. */
export type Drivable = { readonly bendToleranceM: number; readonly legM: number; readonly gapM: number };

/** Cut corners that are still too sharp are cut again, this often at most. */
const MOST_PASSES = 4;
/** What is in the way of a cut is given this many chances of a smaller one. */
const MOST_ROUNDS = 8;

/**
 * The loops of working areas as a crew pegs them and a machine follows them: bends with the fewest vertices, then no corner
 * sharper than one peg allows. The wire only ever moves into the working area. What would cross or touch another wire, or come
 * nearer than the gap to one that faces it, is laid with a smaller cut or as it was.
 */
export function drivableLoops(areas: readonly Polygon[], { bendToleranceM, legM, gapM }: Drivable): Polygon[] {
  let rings = laidAnew(ringsOf(areas), (ring) => fewestBends(ring, bendToleranceM), asItWas, gapM);
  for (let pass = 0; legM > 0 && pass < MOST_PASSES; pass++)
    rings = laidAnew(rings, (ring) => cornerCuts(ring, legM), halved, gapM);
  let next = 0;
  return areas.map(({ holes }) => ({ outer: rings[next++], holes: holes.map(() => rings[next++]) }));
}

type Retry = (ring: Ring, change: RingChange) => RingChange | undefined;

const asItWas: Retry = () => undefined;

/** The same cut, half as large about its corner. */
const halved: Retry = (ring, { first, count, xy }) => ({
  first,
  count,
  xy: xy.map((value, k) => (value + ring[2 * first + (k % 2)]) / 2),
});

/** The rings with the changes proposed for each, as far as they get along with all the others. */
function laidAnew(
  rings: readonly Ring[],
  propose: (ring: Ring) => readonly RingChange[],
  retry: Retry,
  gapM: number,
): readonly Ring[] {
  let changes = rings.map(propose);
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
