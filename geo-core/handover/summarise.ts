import type { PlanSummary } from '#geo-core/model/plan.ts';
import type { Connectivity, Loop } from '#geo-core/model/plane-plan.ts';
import { lineLengthM, ringLengthM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { nineDecimals } from '#geo-core/projection/geojson-shapes.ts';
import type { PlaneResult } from './plane-result.ts';

/**
 * The figures of a plan, measured in the plane. Loops that no route goes along are not counted. routeLengthM is boundaryLengthM + keepOutLengthM + 2 x leadLengthM to the
 * last bit; resistanceOhm is that of the loop with the most, because each has a signal unit of its own.
 */
export function summarise({
  lawn,
  loops,
  route,
  zones,
  upkeep,
  slope,
  signal,
  settingOut,
  takeOff,
}: PlaneResult): PlanSummary {
  const laid = new Set(route.routes.flatMap(({ spans }) => spans.map(({ id }) => id)));
  const loopsM = (kind: Loop['kind']) =>
    nineDecimals(
      loops.loops.reduce(
        (sum, loop) => (loop.kind === kind && laid.has(loop.id) ? sum + ringLengthM(loop.ring) : sum),
        0,
      ),
    );
  const zonesM2 = (connectivity: Connectivity) =>
    nineDecimals(totalAreaM2(zones.zones.flatMap((zone) => (zone.connectivity === connectivity ? zone.polygons : []))));
  const boundaryLengthM = loopsM('boundary');
  const keepOutLengthM = loopsM('keep-out');
  const leadLengthM = nineDecimals(route.leads.reduce((sum, lead) => sum + lineLengthM(lead.line), 0));
  return {
    lawnAreaM2: nineDecimals(totalAreaM2(lawn.lawn)),
    workingAreaM2: nineDecimals(totalAreaM2(loops.workingArea)),
    routeLengthM: boundaryLengthM + keepOutLengthM + 2 * leadLengthM,
    boundaryLengthM,
    keepOutLengthM,
    leadLengthM,
    zoneCount: zones.zones.length,
    reachableAreaM2: zonesM2('reachable'),
    narrowPassageAreaM2: zonesM2('narrow-passage'),
    isolatedAreaM2: zonesM2('isolated'),
    handMowAreaM2: nineDecimals(upkeep.handMow.reduce((sum, each) => sum + each.areaM2, 0)),
    maxSlopePct: knownOrNull(slope?.maxSlopePct),
    resistanceOhm: signal.resistanceOhm.length > 0 ? nineDecimals(Math.max(...signal.resistanceOhm)) : null,
    hoursPerWeek: nineDecimals(upkeep.hoursPerWeek),
    pegCount: settingOut.pegs.length,
    spliceCount: settingOut.splices.length,
    spoolCount: settingOut.spoolCount,
    priceTotal: takeOff.priceTotal,
    currency: takeOff.currency,
  };
}

/** JSON has no NaN: a figure that nobody knows is null. */
export function knownOrNull(value: number | undefined): number | null {
  return value === undefined || !Number.isFinite(value) ? null : nineDecimals(value);
}
