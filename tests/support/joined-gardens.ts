import type { DerivedLawn, LaidLoops, Loop, SitedStations, Station } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { pointInRing, reversedRing } from '#geo-core/plane/polygons.ts';
import type { JoinRouteInput } from '#geo-core/stages/50-join-route.ts';
import { goldenSite } from './golden-garden.ts';

/** Ground with loops drawn by hand or by a generator, as stage 50 gets it. Boundaries are turned anticlockwise, keep-outs clockwise. */
export type Drawn = {
  readonly ground: readonly Polygon[];
  readonly boundaries: readonly Ring[];
  readonly keepOutLoops?: readonly Ring[];
  readonly keepOuts?: readonly Ring[];
  readonly noWire?: readonly Ring[];
  /** Steep ground that the rules make a keep-out. */
  readonly steep?: readonly Ring[];
  /** Metres along the first boundary; no station when left out. */
  readonly stationAlongM?: number;
  /** Index into `ground` of each boundary and each keep-out loop, 0 when left out. */
  readonly partOf?: (ring: Ring) => number;
};

export function joinInput(drawn: Drawn): JoinRouteInput {
  const partOf = drawn.partOf ?? (() => 0);
  const areaOf = (each: Ring): number =>
    drawn.boundaries.findIndex((boundary) => pointInRing(boundary, each[0], each[1]));
  const loops: Loop[] = [
    ...drawn.boundaries.map((each, k) => loopOf(`boundary-${k + 1}`, 'boundary', each, k, partOf(each))),
    ...(drawn.keepOutLoops ?? []).map((each, k) =>
      loopOf(`keep-out-loop-${k + 1}`, 'keep-out', each, areaOf(each), partOf(each)),
    ),
  ];
  const lawn: DerivedLawn = {
    lawn: drawn.ground,
    ground: drawn.ground,
    crossings: [],
    keepOuts: (drawn.keepOuts ?? []).map((outer, k) => ({
      id: `keep-out-${k + 1}`,
      feature: { kind: 'obstacle', pointer: `/features/${k}` },
      polygons: [polygonOf(outer)],
      discs: [],
      offsetM: 0.3,
    })),
    noWire: (drawn.noWire ?? []).map((outer) => polygonOf(outer)),
    derived: false,
    areaM2: 0,
  };
  const laid: LaidLoops = {
    workingArea: [],
    loops,
    bays: [],
    bumped: [],
    steep: (drawn.steep ?? []).map((outer) => polygonOf(outer)),
  };
  const stations: SitedStations = { stations: stationsOf(drawn, loops), candidates: [] };
  return { site: goldenSite, lawn, loops: laid, stations };
}

export function polygonOf(outer: Ring, ...holes: Ring[]): Polygon {
  return { outer: turned(outer, true), holes: holes.map((hole) => turned(hole, false)) };
}

function loopOf(id: string, kind: Loop['kind'], ring: Ring, area: number, part: number): Loop {
  const lengthM = ringLengthM(ring);
  const common = { id, ring: turned(ring, kind === 'boundary'), lengthM, area, part, around: [] };
  return kind === 'boundary'
    ? { ...common, kind }
    : { ...common, kind, arrangement: { kind: 'own-loop', wireM: lengthM, costM: lengthM } };
}

/** A ring of `corners` vertices on an ellipse turned by `turn` radians. */
export function ellipse(x: number, y: number, a: number, b: number, turn: number, corners = 32): Ring {
  return Float64Array.from(
    Array.from({ length: corners }, (_, k) => {
      const angle = (2 * Math.PI * k) / corners;
      const [u, v] = [a * Math.cos(angle), b * Math.sin(angle)];
      return [x + u * Math.cos(turn) - v * Math.sin(turn), y + u * Math.sin(turn) + v * Math.cos(turn)];
    }).flat(),
  );
}

function turned(ring: Ring, anticlockwise: boolean): Ring {
  return ringAreaM2(ring) > 0 === anticlockwise ? ring : reversedRing(ring);
}

function stationsOf({ stationAlongM }: Drawn, loops: readonly Loop[]): Station[] {
  if (stationAlongM === undefined) return [];
  const { ring, id, part } = loops[0];
  let startM = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const edgeM = Math.hypot(ring[j] - ring[i], ring[j + 1] - ring[i + 1]);
    const t = (stationAlongM - startM) / edgeM;
    if (t <= 1) {
      const at = { x: ring[i] + t * (ring[j] - ring[i]), y: ring[i + 1] + t * (ring[j + 1] - ring[i + 1]) };
      return [
        {
          id: 'station-1',
          role: 'charging',
          part,
          fixedByUser: false,
          at,
          headingDeg: 90,
          loopId: id,
          alongM: stationAlongM,
        },
      ];
    }
    startM += edgeM;
  }
  return [];
}
