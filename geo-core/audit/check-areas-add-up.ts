import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { outlinesOf, type Segments, segmentsOf } from './segments.ts';
import { worstCase } from './worst-case.ts';

/** Zones follow the outlines of the working area to a hundredth of a millimetre; anything coarser is said by the grid. */
const OUTLINE_M = 1e-5;

/**
 * The ground that the routes go around (a lead walked both ways goes around none) is the working area; the zones are no more than that, and each
 * has the area it says, like the lawn. Worst is the largest difference, square metres; what a hundredth of a
 * millimetre along the wire and along the lawn's outline makes is allowed.
 */
export function checkAreasAddUp({ wires, area, lawn, zones, site }: Evidence): AuditCheck {
  const lawnOutline = segmentsOf(outlinesOf(lawn.lawn), true);
  const alongM = [...wires.ownerLengthM, ...lawnOutline.lengthM].reduce((sum, lengthM) => sum + lengthM, 0);
  const worst = worstCase('areas-add-up', 'm²', Math.max(OUTLINE_M, site.gridM) * alongM);
  const workingM2 = areaM2(area);
  worst.see(Math.abs(areaM2(wires) - workingM2));
  worst.see(Math.abs(areaM2(lawnOutline) - lawn.areaM2));
  let zonesM2 = 0;
  for (const zone of zones.zones) {
    const zoneM2 = areaM2(segmentsOf(outlinesOf(zone.polygons), true));
    worst.see(Math.abs(zoneM2 - zone.areaM2), zone.widestAt);
    zonesM2 += zoneM2;
  }
  worst.see(zonesM2 - workingM2);
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
