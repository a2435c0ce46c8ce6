import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Ring } from '#geo-core/model/position.ts';
import type { SiteKind } from '#geo-core/model/site.ts';
import type { Evidence } from './evidence.ts';
import { insideM, outsideM, seeStrays } from './see-strays.ts';
import { indexed, outlinesOf, segmentsOf } from './segments.ts';
import { worstCase } from './worst-case.ts';

/** Outlines that miss each other by a millimetre are meant to meet: a wire may lie in the seam between, or so far outside both. */
const LIMIT_M = 2e-3;
/** A crossing drawn this far off the lawn still joins it, metres. */
const CROSSING_REACH_M = 0.02;
const NOT_GRASS: readonly SiteKind[] = ['building', 'paving', 'water', 'planting', 'road'];

/**
 * Every wire, leads too, lies on the lawn as the site gives it (the parcel where it gives none), inside the parcel, and on no area that
 * is not grass, except on a declared crossing: looked at in the areas as given, whatever lawn was derived from them. Worst is how far a
 * wire strays from such ground, metres.
 */
export function checkOnGivenGround({ wires, site, lawn }: Evidence): AuditCheck {
  const worst = worstCase('on-given-ground', 'm', LIMIT_M);
  const areas = (kinds: readonly SiteKind[]): Ring[] =>
    site.features.flatMap(({ kind, shape }) =>
      shape.type === 'area' && kinds.includes(kind) ? outlinesOf(shape.polygons) : [],
    );
  const [parcels, lawns, taken, crossed] = [
    areas(['parcel']),
    areas(['lawn']),
    areas(NOT_GRASS),
    outlinesOf(lawn.crossings),
  ];
  if (parcels.length + lawns.length === 0) return worst.check();
  const parcel = indexed(segmentsOf(parcels, true));
  const given = lawns.length > 0 ? indexed(segmentsOf(lawns, true)) : parcel;
  const notGrass = indexed(segmentsOf(taken, true));
  const crossings = indexed(segmentsOf(crossed, true));
  const outlines = indexed(segmentsOf([...parcels, ...lawns, ...taken, ...crossed], true));
  const offGrassM = (x: number, y: number): number =>
    Math.max(outsideM(given, x, y), parcels.length > 0 ? outsideM(parcel, x, y) : 0, insideM(notGrass, x, y));
  const strayM = (x: number, y: number): number => {
    const offM = offGrassM(x, y);
    return offM === 0 || crossed.length === 0
      ? offM
      : Math.min(offM, Math.max(0, outsideM(crossings, x, y) - CROSSING_REACH_M));
  };
  seeStrays(wires, outlines, strayM, worst);
  return worst.check();
}
