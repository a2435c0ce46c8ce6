import type { InsetPolygon, KeepOut } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';
import { standingApart } from '#geo-core/plane/standing-apart.ts';

/** How far the wire stays from ground where nothing may be laid, metres. Common practice, no source. */
const CLEAR_M = 0.1;
/** A wire this near to such ground touches it, metres. */
const TOUCH_M = 0.001;
/** Going round one may bring the wire to the next one. */
const MOST_ROUNDS = 6;

/** Ground that had to be left out so that the wire lies clear of where nothing may be laid. */
export type LeftOut = {
  /** As keep-outs; their ids are `no-wire-1`, ... in the order of the lawn's list. */
  readonly keepOuts: readonly KeepOut[];
  /** What it costs of working area, square metres, and into how many more pieces it parts it. */
  readonly lostM2: number;
  readonly morePieces: number;
};

/**
 * Arranges a part of the ground so that no wire lies where nothing may be laid: what a wire's course would touch is left out of the
 * working area, grown by a small clearance, and all is arranged again, until none is touched. Ground of that kind well inside the
 * working area stays in it: the machine may drive there, and leads go round.
 */
export function arrangedOffNoWire<Arranged extends { readonly areas: readonly InsetPolygon[] }>(
  noWire: readonly Polygon[],
  arrange: (leftOut: readonly KeepOut[]) => Arranged,
): Arranged & { readonly leftOut: LeftOut } {
  const first = arrange([]);
  let arranged = first;
  let touched = new Set<number>();
  for (let round = 0; round < MOST_ROUNDS && touched.size < noWire.length; round++) {
    const next = touchedBy(arranged.areas, noWire, touched);
    if (next.size === touched.size) break;
    touched = next;
    arranged = arrange(keepOutsOf(noWire, touched));
  }
  const leftOut: LeftOut = {
    keepOuts: keepOutsOf(noWire, touched),
    lostM2: totalAreaM2(first.areas) - totalAreaM2(arranged.areas),
    morePieces: arranged.areas.length - first.areas.length,
  };
  return { ...arranged, leftOut };
}

/** What was touched before, and what the wires of these areas touch. */
function touchedBy(areas: readonly Polygon[], noWire: readonly Polygon[], before: ReadonlySet<number>): Set<number> {
  const rings = ringsOf(areas);
  const others = noWire.map((_, i) => i).filter((i) => !before.has(i));
  const { near } = standingApart(
    rings,
    others.map((i) => noWire[i].outer),
    TOUCH_M,
  );
  return new Set([...before, ...others.filter((i) => near.includes(noWire[i].outer))]);
}

function keepOutsOf(noWire: readonly Polygon[], chosen: ReadonlySet<number>): KeepOut[] {
  return noWire.flatMap((polygon, i): KeepOut[] => {
    const id = `no-wire-${i + 1}`;
    return chosen.has(i)
      ? [{ id, feature: { kind: 'no-wire', pointer: id }, polygons: [polygon], discs: [], offsetM: CLEAR_M }]
      : [];
  });
}
