import type { Plan, PlanFeature, Position } from '#geo-core/model/plan.ts';
import { polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Passage, Zone } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { type LocalPlaneProjection, localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { type MowingSimulation, simulateMowing } from '#geo-core/upkeep/simulate-mowing.ts';
import { squareVisits } from '#geo-core/upkeep/visit-bands.ts';
import type { PlanFormat } from './plan-format.ts';
import { planPlane } from './plan-plane.ts';

/** Always the same week: another plan is what should make a difference. */
const SEED = 1;
const GRID_M = 1e-6;

/** A week of full growth on the ground of the plan, simulated by straight random runs, as JSON; null where no ground is mown. */
export const simulation: PlanFormat = {
  id: 'simulation',
  mediaType: 'application/vnd.loopwright.simulation+json',
  extension: 'simulation.json',
  title: 'Simulated week of mowing',
  write(plan) {
    const plane = localPlaneProjection(planPlane(plan));
    const told = simulatedWeek(plan, plane);
    return `${JSON.stringify(told === undefined ? { simulation: null } : { simulation: written(told, plane) })}\n`;
  },
};

function simulatedWeek({ features, rules, summary }: Plan, plane: LocalPlaneProjection): MowingSimulation | undefined {
  const station = features.find(({ properties }) => properties.kind === 'station');
  if (station === undefined || !(summary.hoursPerWeek > 0)) return undefined;
  const workingArea = features
    .filter(({ properties }) => properties.kind === 'working-area')
    .flatMap((feature) => polygonsIn(feature, plane));
  const loops = {
    workingArea: workingArea.map((polygon, part) => ({ ...polygon, part })),
    loops: [],
    bays: [],
    bumped: [],
    steep: [],
  };
  const zones = {
    zones: features.flatMap((feature) => zoneOf(feature, workingArea, plane)),
    passages: features.flatMap(passageOf),
  };
  const [[lonDeg, latDeg]] = positionsOf(station.geometry);
  const hours = summary.hoursPerWeek;
  const edgeLapEveryH = rules.edgeLapsPerWeek > 0 ? hours / rules.edgeLapsPerWeek : 0;
  const given = { loops, zones, station: plane.toPlane(lonDeg, latDeg), gridM: GRID_M };
  return simulateMowing(given, rules, { seed: SEED, hours, edgeLapEveryH });
}

function polygonsIn({ geometry }: PlanFeature, { toPlane }: LocalPlaneProjection): Polygon[] {
  const ringOf = (positions: readonly Position[]): Float64Array =>
    Float64Array.from(
      positions.slice(1).flatMap(([lonDeg, latDeg]) => {
        const { x, y } = toPlane(lonDeg, latDeg);
        return [x, y];
      }),
    );
  return polygonsOf(geometry).map(([outer, ...holes]) => ({ outer: ringOf(outer), holes: holes.map(ringOf) }));
}

function zoneOf(feature: PlanFeature, workingArea: readonly Polygon[], plane: LocalPlaneProjection): Zone[] {
  const { id, properties } = feature;
  if (properties.kind !== 'zone') return [];
  const polygons = polygonsIn(feature, plane);
  const [widestAt] = polygons.flatMap((polygon) => interiorPoints(polygon, 1));
  if (widestAt === undefined) return [];
  const area = workingArea.findIndex((polygon) => pointInPolygon(polygon, widestAt.x, widestAt.y));
  const { connectivity, areaM2, widestRadiusM } = properties;
  return area === -1 ? [] : [{ id, polygons, areaM2, connectivity, area, widestRadiusM, widestAt }];
}

function passageOf({ id, properties }: PlanFeature): Passage[] {
  if (properties.kind !== 'passage') return [];
  const { widthM, lengthM, connects } = properties;
  const nowhere = { x: 0, y: 0 };
  return [{ id, widthM, lengthM, connects, centreLine: new Float64Array(), narrowestAt: [nowhere, nowhere] }];
}

/** Visits as means over squares, row by row northward from the south-west corner; null where nothing is mown. */
function written({ visits, ...told }: MowingSimulation, { toLonLat }: LocalPlaneProjection) {
  const { squareM, columns, rows, meanVisits } = squareVisits(visits);
  const { westM, southM } = visits;
  const [eastM, northM] = [westM + columns * squareM, southM + rows * squareM];
  return {
    ...told,
    visits: {
      squareM,
      columns,
      rows,
      corners: [toLonLat(westM, southM), toLonLat(eastM, southM), toLonLat(eastM, northM), toLonLat(westM, northM)],
      meanVisits: Array.from(meanVisits, (mean) => (Number.isNaN(mean) ? null : Math.round(100 * mean) / 100)),
    },
  };
}
