import type { LaidLoops, Passage, ZonedArea } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM, ringLengthM } from '#geo-core/plane/measure.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { parameterOnSegment, pointSegmentM } from '#geo-core/plane/segment.ts';
import { cutGround } from './cut-ground.ts';
import { type WireAhead, wireAhead } from './wire-ahead.ts';

/** A place just inside the boundary wire, and how far it is from there to the station along it. */
export type WirePlace = PlanePoint & { readonly homeM: number; readonly segment: number };
type MowingZone = {
  readonly id: string;
  readonly polygons: readonly Polygon[];
  readonly areaM2: number;
  /** Where its trips begin: its place on the wire nearest to the station, or its middle where none of the wire is its own. */
  readonly start: WirePlace;
};

/** The ground that one machine mows from its station. */
export type MowingGround = {
  readonly wire: WireAhead;
  /** What the blades can reach from where the machine's middle may go. */
  readonly cut: readonly Polygon[];
  /** Outlines of where its middle may go, for laps along the edge. */
  readonly laps: readonly Ring[];
  readonly zones: readonly MowingZone[];
  /** Number of the station's zone. */
  readonly home: number;
  readonly passages: readonly Passage[];
  /** Metres along the boundary wire to the station for each of its segments; undefined for wires of keep-outs. */
  readonly homeM: readonly (number | undefined)[];
  /** Numbers of the passages on the way from one zone to another. */
  readonly passagesBetween: (from: number, to: number) => readonly number[];
};

/** Starts of trips stand this far inside. */
const INSIDE_M = 0.02;

type MowingGroundInput = {
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly station: PlanePoint;
  readonly gridM: number;
};

/**
 * Where the machine's middle may go is the ground inside the wire, shrunk or grown so that a disc of the cutting width about it reaches
 * `reachBeyondWireM` over the wire. Ground behind necks too narrow to drive through is left out where an isolated zone hangs on one.
 */
export function mowingGround(
  { loops, zones, station, gridM }: MowingGroundInput,
  rules: Rules,
): MowingGround | undefined {
  const own = zones.zones.filter(({ connectivity }) => connectivity !== 'isolated');
  const homeZone = own.find(({ connectivity }) => connectivity === 'reachable');
  if (homeZone === undefined) return undefined;
  const polygon = loops.workingArea[homeZone.area];
  const hasNeck = zones.zones.some(({ connectivity, area }) => connectivity === 'isolated' && area === homeZone.area);
  const driven = hasNeck ? withoutNecks(ringsOf([polygon]), rules.driveWidthM, gridM) : ringsOf([polygon]);
  const middle = grown(driven, rules.reachBeyondWireM - rules.cuttingWidthM / 2, gridM);
  const parts = polygonsFromRings(middle);
  const part = parts.find((one) => pointInPolygon(one, homeZone.widestAt.x, homeZone.widestAt.y));
  if (part === undefined) return undefined;
  const rings = ringsOf([part]);
  const homeM = homeDistances(part, station);
  const starts = placesInside(part.outer, homeM);
  const mown = own.map(({ id, polygons, areaM2, widestAt }) => ({
    id,
    polygons,
    areaM2,
    start: starts
      .filter(({ x, y }) => polygons.some((each) => pointInPolygon(each, x, y)))
      .reduce<WirePlace>((best, next) => (best.segment >= 0 && best.homeM <= next.homeM ? best : next), {
        ...widestAt,
        homeM: 0,
        segment: -1,
      }),
  }));
  const cut = cutGround({
    zones: own.flatMap(({ polygons }) => polygons),
    reachM: rules.reachBeyondWireM,
    discM: rules.cuttingWidthM,
    gridM,
  });
  return {
    wire: wireAhead(rings),
    cut: polygonsFromRings(cut),
    laps: [part.outer],
    zones: mown,
    home: own.indexOf(homeZone),
    passages: zones.passages,
    homeM,
    passagesBetween: passageWays(
      own.map(({ id }) => id),
      zones.passages,
    ),
  };
}

function grown(rings: readonly Ring[], byM: number, gridM: number): readonly Ring[] {
  return byM === 0 ? rings : kernel().offset(rings, byM, gridM, 'mitre');
}

/** Opened by the driving width: what a disc of it can go over. */
function withoutNecks(rings: readonly Ring[], widthM: number, gridM: number): Ring[] {
  const { offset } = kernel();
  return offset(offset(rings, -0.499 * widthM, gridM), 0.499 * widthM, gridM);
}

/** The shorter way along the outer ring from the middle of each of its segments to the place nearest to the station. */
function homeDistances({ outer, holes }: Polygon, station: PlanePoint): (number | undefined)[] {
  const wholeM = ringLengthM(outer);
  let [alongM, stationM, nearestM] = [0, 0, Number.POSITIVE_INFINITY];
  const middlesM: number[] = [];
  for (let i = 0; i < outer.length; i += 2) {
    const next = (i + 2) % outer.length;
    const [ax, ay, bx, by] = [outer[i], outer[i + 1], outer[next], outer[next + 1]];
    const lengthM = distanceM(ax, ay, bx, by);
    const awayM = pointSegmentM(station.x, station.y, ax, ay, bx, by);
    if (awayM < nearestM) {
      nearestM = awayM;
      stationM = alongM + lengthM * parameterOnSegment(station.x, station.y, ax, ay, bx, by);
    }
    middlesM.push(alongM + lengthM / 2);
    alongM += lengthM;
  }
  const boundary = middlesM.map((middleM) => {
    const wayM = Math.abs(middleM - stationM);
    return Math.min(wayM, wholeM - wayM);
  });
  return [...boundary, ...holes.flatMap((hole) => new Array<undefined>(hole.length / 2).fill(undefined))];
}

function placesInside(outer: Ring, homeM: readonly (number | undefined)[]): WirePlace[] {
  return Array.from({ length: outer.length / 2 }, (_, segment) => {
    const [i, next] = [2 * segment, (2 * segment + 2) % outer.length];
    const [dx, dy] = [outer[next] - outer[i], outer[next + 1] - outer[i + 1]];
    const length = Math.sqrt(dx * dx + dy * dy);
    return {
      x: outer[i] + dx / 2 - (INSIDE_M * dy) / length,
      y: outer[i + 1] + dy / 2 + (INSIDE_M * dx) / length,
      homeM: homeM[segment] ?? 0,
      segment,
    };
  });
}

/** Passages on the way with the fewest of them between two zones, all ways looked up once. */
function passageWays(
  ids: readonly string[],
  passages: readonly Passage[],
): (from: number, to: number) => readonly number[] {
  const doors = passages.map(({ connects }) => connects.map((id) => ids.indexOf(id)));
  const from = ids.map((_, start) => {
    const ways = new Map<number, readonly number[]>([[start, []]]);
    for (const [zone, way] of ways) {
      doors.forEach(([one, other], passage) => {
        const next = one === zone ? other : other === zone ? one : -1;
        if (next >= 0 && !ways.has(next)) ways.set(next, [...way, passage]);
      });
    }
    return ways;
  });
  return (start, end) => from[start].get(end) ?? [];
}
