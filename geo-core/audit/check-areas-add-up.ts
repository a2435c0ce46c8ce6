import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { outlinesOf, type Segments, segmentsOf } from './segments.ts';
import { worstCase } from './worst-case.ts';

const LIMIT_M2 = 1e-6;
/** Zones follow the outlines of the working area to a hundredth of a millimetre. */
const OUTLINE_M = 1e-5;

/**
 * The ground that the routes go around (a lead walked both ways goes around none) is the working area; the zones are no more than that, and each
 * has the area it says, like the lawn. Worst is the largest difference, square metres, beyond what rounding moves along the outlines: to
 * the grid of the site for wires, to a hundredth of a millimetre for zones.
 */
export function checkAreasAddUp({ wires, area, lawn, zones, site }: Evidence): AuditCheck {
  const wireM = wires.ownerLengthM.reduce((sum, lengthM) => sum + lengthM, 0);
  const worst = worstCase('areas-add-up', 'm²', LIMIT_M2);
  const workingM2 = areaM2(area);
  worst.see(Math.abs(areaM2(wires) - workingM2) - site.gridM * wireM);
  worst.see(Math.abs(areaM2(segmentsOf(outlinesOf(lawn.lawn), true)) - lawn.areaM2));
  let [zonesM2, outlinesM] = [0, 0];
  for (const zone of zones.zones) {
    const outlines = segmentsOf(outlinesOf(zone.polygons), true);
    const zoneM2 = areaM2(outlines);
    worst.see(Math.abs(zoneM2 - zone.areaM2), zone.widestAt);
    zonesM2 += zoneM2;
    outlinesM = outlines.lengthM.reduce((sum, lengthM) => sum + lengthM, outlinesM);
  }
  worst.see(zonesM2 - workingM2 - OUTLINE_M * outlinesM);
  return worst.check();
}

/** What closed lines go around counter-clockwise, clockwise negative: the triangles over a near place, summed (the shoelace formula). */
function areaM2({ abXy, count }: Segments): number {
  const [x, y] = [abXy[0], abXy[1]];
  let twice = 0;
  for (let at = 0; at < 4 * count; at += 4)
    twice += (abXy[at] - x) * (abXy[at + 3] - y) - (abXy[at + 2] - x) * (abXy[at + 1] - y);
  return twice / 2;
}
