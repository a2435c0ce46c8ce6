import type { Plan, PlanFeature } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';

/**
 * What a plan says of itself, measured again from its GeoJSON alone: no plane, no code of the planner. Lengths and areas on the WGS 84
 * ellipsoid by the radii of curvature at the middle latitude of every segment (Torge, Geodesy, 4.1), at garden size right to 1e-8.
 */

type Position = readonly number[];
type Line = readonly Position[];

const SEMI_MAJOR_M = 6_378_137;
const ECCENTRICITY_2 = 0.006_694_379_990_141_317;
const RADIANS = Math.PI / 180;
/** Nine decimals of a degree move a position by this much at most: half a unit north and half a unit east. */
const ROUNDED_M = 0.000_08;

/** Everything in which the plan contradicts itself; empty where it does not. */
export function contradictionsOf(plan: Plan): readonly string[] {
  const told: string[] = [];
  const expectNear = (what: string, said: number, measured: number, within: number): void => {
    if (!(Math.abs(said - measured) <= within)) told.push(`${what}: said ${said}, measured ${measured}`);
  };
  const { features, summary } = plan;
  told.push(...badNumbers(plan, ''));
  for (const feature of features) told.push(...badGeometry(feature));
  const of = (kind: string) => features.filter(({ properties }) => properties.kind === kind);
  const sumOf = (kind: string, figure: 'areaM2' | 'lengthM'): number =>
    of(kind).reduce((sum, { properties }) => sum + Number(Reflect.get(properties, figure)), 0);

  expectNear('lengths of the route', summary.routeLengthM, sumOf('route', 'lengthM'), 1e-6);
  expectNear('lengths of the leads', summary.leadLengthM, sumOf('lead', 'lengthM'), 1e-6);
  const parts = summary.boundaryLengthM + summary.keepOutLengthM + 2 * summary.leadLengthM;
  if (summary.routeLengthM !== parts) told.push(`the route is ${summary.routeLengthM} m, its parts ${parts} m`);
  expectNear('working area', summary.workingAreaM2, sumOf('working-area', 'areaM2'), 1e-6);
  expectNear('hand-mow ground', summary.handMowAreaM2, sumOf('hand-mow', 'areaM2'), 1e-6);
  const zonesM2 = summary.reachableAreaM2 + summary.narrowPassageAreaM2 + summary.isolatedAreaM2;
  expectNear('zones', zonesM2, sumOf('zone', 'areaM2'), 1e-6);
  if (zonesM2 > summary.workingAreaM2 + 1e-4) told.push('zones are larger than the working area');

  for (const feature of features) {
    const { properties, geometry, id } = feature;
    const count = positionsOf(geometry).length;
    if ('lengthM' in properties) {
      const measured = linesOf(geometry).reduce((sum, line) => sum + lengthM(line), 0);
      expectNear(`length of ${id}`, properties.lengthM, measured, 2 * ROUNDED_M * count);
    }
    if ('areaM2' in properties) {
      const measured = polygonsOf(geometry).reduce((sum, rings) => sum + areaM2(rings), 0);
      expectNear(`area of ${id}`, properties.areaM2, measured, ROUNDED_M * (properties.perimeterM + 1) + 1e-6);
    }
  }
  for (const route of of('route')) told.push(...badRoute(route, of('peg')));
  told.push(...badWinding(of('working-area'), of('route')));
  return told;
}

/** Sum of the winding numbers of lines around a place. */
export function windingOf(lines: readonly Line[], [x, y]: Position): number {
  let turns = 0;
  for (const line of lines)
    for (let i = 1; i < line.length; i++) {
      const ax = shortWay(line[i - 1][0] - x);
      const bx = shortWay(line[i][0] - x);
      const [ay, by] = [line[i - 1][1] - y, line[i][1] - y];
      if (ay <= 0 === by <= 0) continue;
      const left = ax * by - bx * ay;
      if (by > ay && left > 0) turns++;
      if (by < ay && left < 0) turns--;
    }
  return turns;
}

/** Metres between two positions a garden apart. */
export function distanceM(a: Position, b: Position): number {
  const { northM, eastM } = metresPerDegree((a[1] + b[1]) / 2);
  const [dx, dy] = [shortWay(b[0] - a[0]) * eastM, (b[1] - a[1]) * northM];
  return Math.sqrt(dx * dx + dy * dy);
}

/** Metres from a position to a line. */
export function awayM(line: Line, at: Position): number {
  const { northM, eastM } = metresPerDegree(at[1]);
  let least = Number.POSITIVE_INFINITY;
  for (let i = 1; i < line.length; i++) {
    const [ax, ay] = [shortWay(line[i - 1][0] - at[0]) * eastM, (line[i - 1][1] - at[1]) * northM];
    const [bx, by] = [shortWay(line[i][0] - at[0]) * eastM, (line[i][1] - at[1]) * northM];
    const [dx, dy] = [bx - ax, by - ay];
    const span = dx * dx + dy * dy;
    const share = span === 0 ? 0 : Math.min(1, Math.max(0, -(ax * dx + ay * dy) / span));
    least = Math.min(least, Math.hypot(ax + share * dx, ay + share * dy));
  }
  return least;
}

function lengthM(line: Line): number {
  let sum = 0;
  for (let i = 1; i < line.length; i++) sum += distanceM(line[i - 1], line[i]);
  return sum;
}

/** Outer ring minus holes: trapezes between every segment and the latitude of the first position. */
function areaM2(rings: readonly Line[]): number {
  const [lon0, lat0] = rings[0][0];
  let twice = 0;
  for (const ring of rings)
    for (let i = 1; i < ring.length; i++) {
      const [a, b] = [ring[i - 1], ring[i]];
      const [x1, x2] = [shortWay(a[0] - lon0), shortWay(b[0] - lon0)];
      const up = a[1] + b[1] - 2 * lat0;
      // As wide as at the middle of the trapeze, which reaches from lat0 to the middle of the segment.
      const { northM, eastM } = metresPerDegree(lat0 + up / 4);
      twice -= (x2 - x1) * eastM * up * northM;
    }
  return twice / 2;
}

function metresPerDegree(latDeg: number): { readonly northM: number; readonly eastM: number } {
  const sine = Math.sin(latDeg * RADIANS);
  const w2 = 1 - ECCENTRICITY_2 * sine * sine;
  const transverseM = SEMI_MAJOR_M / Math.sqrt(w2);
  return {
    northM: ((transverseM * (1 - ECCENTRICITY_2)) / w2) * RADIANS,
    eastM: transverseM * Math.cos(latDeg * RADIANS) * RADIANS,
  };
}

function shortWay(degrees: number): number {
  return degrees - 360 * Math.round(degrees / 360);
}

/** JSON knows neither NaN nor undefined nor infinities. */
function badNumbers(value: unknown, path: string): string[] {
  if (typeof value === 'number') return Number.isFinite(value) ? [] : [`${path} is ${value}`];
  if (value === undefined) return [`${path} is undefined`];
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, each]) => badNumbers(each, `${path}/${key}`));
}

/** RFC 7946: closed rings of four positions or more, outer ones counter-clockwise, positions on earth. */
function badGeometry({ id, geometry }: PlanFeature): string[] {
  const told: string[] = [];
  if (positionsOf(geometry).some(([lon, lat]) => !(Math.abs(lon) <= 180 && Math.abs(lat) <= 90)))
    told.push(`${id} leaves the earth`);
  for (const rings of polygonsOf(geometry))
    for (const [i, ring] of rings.entries()) {
      const [first, last] = [ring[0], ring[ring.length - 1]];
      if (ring.length < 4 || first[0] !== last[0] || first[1] !== last[1]) told.push(`a ring of ${id} is not closed`);
      else if (areaM2([ring]) * (i === 0 ? 1 : -1) < -ROUNDED_M * lengthM(ring))
        told.push(`a ring of ${id} runs the wrong way round`);
    }
  return told;
}

/** Closed, chainage by position as measured, every peg where its chainage says. */
function badRoute({ id, properties, geometry }: PlanFeature, pegs: readonly PlanFeature[]): string[] {
  if (properties.kind !== 'route') return [];
  const told: string[] = [];
  const { chainageM } = properties;
  const line = positionsOf(geometry);
  if (distanceM(line[0], line[line.length - 1]) > 2 * ROUNDED_M) told.push(`${id} is not closed`);
  if (chainageM.length !== line.length) told.push(`${id} has ${chainageM.length} chainages, ${line.length} positions`);
  let walkedM = 0;
  for (let i = 1; i < line.length; i++) {
    walkedM += distanceM(line[i - 1], line[i]);
    if (chainageM[i] < chainageM[i - 1]) told.push(`chainage of ${id} runs back at ${i}`);
    if (Math.abs(chainageM[i] - walkedM) > 2 * ROUNDED_M * i) told.push(`chainage of ${id} is wrong at ${i}`);
  }
  let from = 1;
  const own = pegs.flatMap(({ properties: peg, geometry: place }) =>
    peg.kind === 'peg' && peg.signalUnit === properties.signalUnit
      ? [{ atM: peg.chainageM, at: positionsOf(place)[0] }]
      : [],
  );
  for (const { atM, at } of own.toSorted((a, b) => a.atM - b.atM)) {
    while (from < line.length - 1 && chainageM[from] < atM) from++;
    const span = chainageM[from] - chainageM[from - 1];
    const share = span === 0 ? 0 : (atM - chainageM[from - 1]) / span;
    const expected = [
      line[from - 1][0] + share * shortWay(line[from][0] - line[from - 1][0]),
      line[from - 1][1] + share * (line[from][1] - line[from - 1][1]),
    ];
    if (distanceM(at, expected) > 5 * ROUNDED_M) told.push(`a peg of ${id} is not at its chainage ${atM}`);
  }
  return told;
}

/** Once around every place of the working area, counter-clockwise. */
function badWinding(areas: readonly PlanFeature[], routes: readonly PlanFeature[]): string[] {
  const wires = routes.map(({ geometry }) => positionsOf(geometry));
  return areas.flatMap(({ id, geometry }) =>
    polygonsOf(geometry).flatMap((rings) => {
      const turns = wires.length === 0 ? 1 : windingOf(wires, placeInside(rings));
      return turns === 1 ? [] : [`the wire goes ${turns} times around ${id}`];
    }),
  );
}

/** In the middle of the widest stretch on a parallel through the middle of a polygon. */
function placeInside(rings: readonly Line[]): Position {
  const lats = rings[0].map(([, lat]) => lat);
  const [south, north] = [Math.min(...lats), Math.max(...lats)];
  const lat = south + (north - south) * 0.4987;
  const lon0 = rings[0][0][0];
  const cuts: number[] = [];
  for (const ring of rings)
    for (let i = 1; i < ring.length; i++) {
      const [a, b] = [ring[i - 1], ring[i]];
      if (a[1] > lat === b[1] > lat) continue;
      const x = shortWay(a[0] - lon0);
      cuts.push(x + ((lat - a[1]) / (b[1] - a[1])) * (shortWay(b[0] - lon0) - x));
    }
  cuts.sort((a, b) => a - b);
  let [widest, middle] = [0, 0];
  for (let i = 1; i < cuts.length; i += 2)
    if (cuts[i] - cuts[i - 1] > widest) [widest, middle] = [cuts[i] - cuts[i - 1], (cuts[i] + cuts[i - 1]) / 2];
  return [lon0 + middle, lat];
}
