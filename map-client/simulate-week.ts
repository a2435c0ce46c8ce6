import { localPlaneProjection, simulateMowing, visitBands } from '#geo-core/index.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { DrawnFeature } from './drawing.ts';
import type { StageOutputs } from './layers/material.ts';
import { createPen } from './layers/pen.ts';
import type { SimulationNote } from './planner-messages.ts';

/** Random runs for as long as a week of full growth takes, on the ground of a plan; undefined where no ground is mown. */
export function simulateWeek(
  outputs: StageOutputs,
  rules: Rules,
  seed: number,
): { readonly note: SimulationNote; readonly visits: readonly DrawnFeature[] } | undefined {
  const { gridM, plane } = outputs['10-project-site'];
  const [station] = outputs['45-site-station'].stations;
  const { hoursPerWeek: hours } = outputs['70-plan-upkeep'];
  if (station === undefined || !(hours > 0)) return undefined;
  const edgeLapEveryH = rules.edgeLapsPerWeek > 0 ? hours / rules.edgeLapsPerWeek : 0;
  const told = simulateMowing(
    { loops: outputs['35-loop-keep-outs'], zones: outputs['40-split-zones'], station: station.at, gridM },
    rules,
    { seed, hours, edgeLapEveryH },
  );
  if (told === undefined) return undefined;
  const { clockH, mowingH, edgeLapH, chargingTrips, passages } = told;
  const pen = createPen(localPlaneProjection(plane));
  return {
    note: { share: told.cover.at(-1)?.share ?? 0, clockH, mowingH, edgeLapH, chargingTrips, passages },
    visits: visitBands(told, outputs['15-derive-lawn'].lawn, gridM).map(({ fromShare, polygons }) =>
      pen.areas(polygons, { kind: 'visit-band', fromShare }),
    ),
  };
}
