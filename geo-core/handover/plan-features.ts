import type {
  AreaFigures,
  ArrangementFigures,
  PlanFeature,
  PlanGeometry,
  PlanProperties,
  SupplyProperties,
} from '#geo-core/model/plan.ts';
import type { Arrangement, Route, Station, SupplyFigures } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { distanceM, lineLengthM, polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { type GeoJsonShapes, nineDecimals } from '#geo-core/projection/geojson-shapes.ts';
import type { PlaneResult } from './plane-result.ts';
import { knownOrNull } from './summarise.ts';

/** Nine decimals of a degree move a point by less than this, metres. */
const ROUNDED_M = 0.000_1;

/**
 * The features of a plan in the order in which they are drawn: areas, then lines, then points. Ids are those of the stages,
 * or the kind and a number counted from 1. What rounding to nine decimals leaves nothing of is left out.
 */
export function planFeatures(result: PlaneResult, shapes: GeoJsonShapes): PlanFeature[] {
  return [
    ...areaFeatures(result, shapes),
    ...loopFeatures(result, shapes),
    ...lineFeatures(result, shapes),
    ...stationFeatures(result, shapes),
    ...settingOutFeatures(result, shapes),
  ];
}

function feature(id: string, geometry: PlanGeometry | undefined, properties: PlanProperties): PlanFeature[] {
  return geometry ? [{ type: 'Feature', id, properties, geometry }] : [];
}

function figures(polygons: readonly Polygon[]): AreaFigures {
  return {
    areaM2: nineDecimals(totalAreaM2(polygons)),
    perimeterM: nineDecimals(polygons.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0)),
  };
}

function arrangementFigures({ kind, wireM, costM, nextBestM }: Arrangement): ArrangementFigures {
  const costs = { wireM: nineDecimals(wireM), costM: nineDecimals(costM), nextBestM: knownOrNull(nextBestM) };
  return { arrangement: kind, ...costs };
}

function areaFeatures({ loops, zones, slope, signal, upkeep }: PlaneResult, { area }: GeoJsonShapes): PlanFeature[] {
  const workingAreaM2 = totalAreaM2(loops.workingArea);
  const plain = (kind: 'working-area' | 'steep', polygons: readonly Polygon[]) =>
    polygons.flatMap((polygon, i) => feature(`${kind}-${i + 1}`, area([polygon]), { kind, ...figures([polygon]) }));
  return [
    ...plain('working-area', loops.workingArea),
    ...zones.zones.flatMap(({ id, polygons, connectivity, widestRadiusM }) =>
      feature(id, area(polygons), {
        kind: 'zone',
        connectivity,
        widestRadiusM: nineDecimals(widestRadiusM),
        sharePct: nineDecimals((100 * totalAreaM2(polygons)) / workingAreaM2),
        ...figures(polygons),
      }),
    ),
    ...upkeep.handMow.flatMap(({ polygon, cause, lengthM }, i) =>
      feature(`hand-mow-${i + 1}`, area([polygon]), {
        kind: 'hand-mow',
        cause,
        stripLengthM: knownOrNull(lengthM),
        ...figures([polygon]),
      }),
    ),
    ...plain('steep', slope?.steep ?? []),
    ...[...signal.weak, ...signal.faint].flatMap((polygon, i) =>
      feature(`weak-signal-${i + 1}`, area([polygon]), {
        kind: 'weak-signal',
        cause: i < signal.weak.length ? 'range' : 'field',
        ...figures([polygon]),
      }),
    ),
    ...loops.bays.flatMap(({ id, polygon, around, arrangement }) =>
      feature(id, area([polygon]), { kind: 'bay', around, ...arrangementFigures(arrangement), ...figures([polygon]) }),
    ),
  ];
}

/** A loop as the ground it goes around: its ring counter-clockwise, whichever way the wire runs. */
function loopFeatures({ loops }: PlaneResult, { area }: GeoJsonShapes): PlanFeature[] {
  return loops.loops.flatMap((loop) => {
    const { id, ring, around } = loop;
    const geometry = area([{ outer: ring, holes: [] }]);
    const { areaM2, perimeterM } = figures([{ outer: ring, holes: [] }]);
    const size = { areaM2: Math.abs(areaM2), perimeterM };
    return loop.kind === 'boundary'
      ? feature(id, geometry, { kind: 'boundary-loop', ...size })
      : feature(id, geometry, { kind: 'keep-out-loop', around, ...arrangementFigures(loop.arrangement), ...size });
  });
}

function supplyProperties({ areaMm2, dropV, dropPct, leastMm2, leastAwg, powerW }: SupplyFigures): SupplyProperties {
  return {
    areaMm2,
    dropV: nineDecimals(dropV),
    dropPct: nineDecimals(dropPct),
    leastMm2: leastMm2 ?? null,
    leastAwg: leastAwg ?? null,
    powerW: nineDecimals(powerW),
  };
}

function lineFeatures(
  { route, slopeCheck, signal, zones, stations }: PlaneResult,
  shapes: GeoJsonShapes,
): PlanFeature[] {
  const { line } = shapes;
  return [
    ...route.leads.flatMap((lead) =>
      feature(lead.id, line(lead.line), { kind: 'lead', lengthM: nineDecimals(lead.lengthM), connects: lead.connects }),
    ),
    ...route.routes.flatMap((each, i) => {
      const geometry = line(each.line);
      return feature(each.id, geometry, {
        kind: 'route',
        lengthM: nineDecimals(each.lengthM),
        groundLengthM: knownOrNull(slopeCheck?.groundLengthM[i]),
        chainageM: geometry ? chainages(each, geometry, shapes) : [],
        signalUnit: each.signalUnit,
        resistanceOhm: nineDecimals(signal.resistanceOhm[i] ?? 0),
        warmResistanceOhm: nineDecimals(signal.warmResistanceOhm[i] ?? 0),
      });
    }),
    ...zones.passages.flatMap(({ id, centreLine, widthM, lengthM, connects }, i) =>
      feature(id, line(centreLine), {
        kind: 'passage',
        widthM: nineDecimals(widthM),
        lengthM: nineDecimals(lengthM),
        slopeAlongPct: knownOrNull(slopeCheck?.passages[i]?.alongPct),
        slopeAcrossPct: knownOrNull(slopeCheck?.passages[i]?.acrossPct),
        connects,
      }),
    ),
    ...(stations.supplyCable && signal.supply
      ? feature('supply-cable', line(stations.supplyCable), {
          kind: 'supply-cable',
          lengthM: nineDecimals(lineLengthM(stations.supplyCable)),
          ...supplyProperties(signal.supply),
        })
      : []),
  ];
}

/**
 * One chainage for every position of the geometry. Where the antimeridian cut the line, positions were added between those of the
 * route: theirs is counted from the vertex before, so that rounding does not add up.
 */
function chainages({ chainageM, line }: Route, geometry: PlanGeometry, { toPlane }: GeoJsonShapes): number[] {
  if (geometry.type !== 'MultiLineString') return Array.from(chainageM, nineDecimals);
  let next = 0;
  let lastM = 0;
  return geometry.coordinates.flat().map((position) => {
    const { x, y } = toPlane(position);
    const awayM = (vertex: number) => distanceM(x, y, line[2 * vertex], line[2 * vertex + 1]);
    const isVertex = next < chainageM.length && awayM(next) < ROUNDED_M;
    const atM = isVertex ? chainageM[next++] : Math.min(chainageM[next - 1] + awayM(next - 1), chainageM[next]);
    lastM = Math.max(lastM, nineDecimals(atM));
    return lastM;
  });
}

function stationFeatures({ stations, route, slope }: PlaneResult, { point }: GeoJsonShapes): PlanFeature[] {
  return [
    ...stations.stations.flatMap((station) => {
      const signalUnit = routeFrom(station, route.routes)?.signalUnit ?? 0;
      const slopePct = knownOrNull(slope?.slopeAtPct(station.at.x, station.at.y));
      const { headingDeg, role } = station;
      return feature(station.id, point(station.at), {
        kind: 'station',
        headingDeg: nineDecimals(headingDeg),
        chainageM: 0,
        role,
        signalUnit,
        slopePct,
      });
    }),
    ...stations.candidates.flatMap(({ rank, at, headingDeg, reasons, straightM, cableM, slopePct, ...rated }) =>
      feature(`station-candidate-${rank}`, point(at), {
        kind: 'station-candidate',
        rank,
        headingDeg: nineDecimals(headingDeg),
        reasons,
        straightM: nineDecimals(straightM),
        cableM: knownOrNull(cableM),
        slopePct: knownOrNull(slopePct),
        margins: rated.margins.map((margin) => ({ ...margin, value: nineDecimals(margin.value) })),
        comforts: rated.comforts.map(({ of, value, unit, costM }) => ({
          of,
          value: value === null ? null : nineDecimals(value),
          unit,
          costM: nineDecimals(costM),
        })),
        discomfortM: nineDecimals(rated.discomfortM),
      }),
    ),
  ];
}

/** The route that begins at a station: the one whose first point is nearest. */
function routeFrom({ at }: Station, routes: readonly Route[]): Route | undefined {
  const awayM = ({ line }: Route) => distanceM(at.x, at.y, line[0], line[1]);
  return routes.reduce<Route | undefined>(
    (best, each) => (best && awayM(best) <= awayM(each) ? best : each),
    undefined,
  );
}

function settingOutFeatures({ settingOut }: PlaneResult, { point }: GeoJsonShapes): PlanFeature[] {
  const features = settingOut.pegs.map(
    ({ at, chainageM, signalUnit, pass }, i): PlanFeature => ({
      type: 'Feature',
      id: `peg-${i + 1}`,
      properties: { kind: 'peg', chainageM: nineDecimals(chainageM), signalUnit, pass },
      geometry: point(at),
    }),
  );
  for (const { id, at, chainageM, signalUnit, reason } of settingOut.splices)
    features.push(
      ...feature(id, point(at), { kind: 'splice', chainageM: nineDecimals(chainageM), signalUnit, reason }),
    );
  return features;
}
