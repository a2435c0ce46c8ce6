import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  JoinedRoute,
  LaidLoops,
  Lead,
  Loop,
  Route,
  SitedStations,
  Station,
} from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM, lineLengthM } from '#geo-core/plane/measure.ts';
import { type PlacesOnLines, placesOnLines } from '#geo-core/plane/places-on-lines.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { type Disliked, ringPieces } from '#geo-core/plane/ring-pieces.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { visibility } from '#geo-core/plane/visibility.ts';
import { type Strand, walkNetwork } from '#geo-core/plane/walk-network.ts';
import { type Piece, wavefront } from '#geo-core/plane/wavefront.ts';

export type JoinRouteInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly loops: LaidLoops;
  readonly stations: SitedStations;
};

/** Leads keep this far off sharp corners of a loop where that makes them no longer than this (common practice, no source). */
const CORNER_CLEAR_M = 0.1;
/** How much longer a lead may become to leave the straight wire at the station alone (common practice, no source). */
const STATION_DETOUR_M = 2;

/** Loops joined by leads: what one signal unit drives. The root is the loop that the route begins on. */
type Network = { readonly root: Loop; readonly loops: Loop[]; readonly leads: Lead[]; readonly places: PlacesOnLines };

/**
 * Joins the loops of every ground part by leads and walks each network as one closed route. The network grows from the
 * station's loop, always by the shortest lead that reaches one more loop (Prim 1957, from memory), where a lead may also
 * begin on an earlier lead: so it is never longer than the least spanning tree over the shortest ways between loops.
 */
export function joinRoute(input: JoinRouteInput, rules: Rules): Staged<JoinedRoute> {
  const findings: Finding[] = [];
  const networks: { network: Network; station: Station | undefined }[] = [];
  let leadCount = 0;
  for (const part of partsInOrder(input)) {
    const station = input.stations.stations.find((candidate) => candidate.part === part);
    const left = new Set(input.loops.loops.filter((loop) => loop.part === part));
    const open = openGround(input, part, true);
    for (let root = firstRoot(left, station); root !== undefined; root = firstRoot(left, undefined)) {
      const own = station?.loopId === root.id ? station : undefined;
      if (networks.some(({ network }) => network.root.part === part)) {
        findings.push(ownSignal(root, causeOf(input, part, networks.at(-1)?.network, root)));
      }
      const network = grow(open, root, left, own, rules, leadCount);
      leadCount += network.leads.length;
      networks.push({ network, station: own });
    }
    for (const loop of left) findings.push(cutOff(loop, causeOf(input, part, networks.at(-1)?.network, loop)));
  }
  const routes = networks.map(({ network, station }, index) => walk(network, station, index + 1));
  findings.push(...routes.flatMap((route) => tooLong(route, rules)));
  return { output: { leads: networks.flatMap(({ network }) => network.leads), routes }, findings };
}

/** The part of the charging station first, then the other stations' parts, then any without a station. */
function partsInOrder({ loops, stations }: JoinRouteInput): number[] {
  return [...new Set([...stations.stations, ...loops.loops].map(({ part }) => part))];
}

/** Ground a lead may lie on: the part without keep-outs and, where asked, without ground where nothing may be laid. */
function openGround({ site, lawn }: JoinRouteInput, part: number, heedNoWire: boolean): Polygon[] {
  const ground = lawn.ground[part];
  if (ground === undefined) return [];
  const closed = [...lawn.keepOuts.flatMap(({ polygons }) => polygons), ...(heedNoWire ? lawn.noWire : [])];
  if (closed.length === 0) return [ground];
  return polygonsFromRings(kernel().difference(ringsOf([ground]), ringsOf(closed), site.gridM));
}

/** The station's loop, else the longest boundary loop left. */
function firstRoot(left: ReadonlySet<Loop>, station: Station | undefined): Loop | undefined {
  const boundaries = [...left].filter(({ kind }) => kind === 'boundary');
  const own = boundaries.find(({ id }) => id === station?.loopId);
  return own ?? boundaries.toSorted((a, b) => b.lengthM - a.lengthM)[0];
}

/** Grows the network of one root over everything in `left` that it can reach, and takes that out of `left`. */
function grow(
  open: readonly Polygon[],
  root: Loop,
  left: Set<Loop>,
  station: Station | undefined,
  rules: Rules,
  leadCount: number,
): Network {
  const byId = new Map([...left].map((loop) => [loop.id, loop]));
  const pieces = new Map([...left].map((loop) => [loop.id, piecesOf(loop, station, rules)]));
  left.delete(root);
  const network: Network = { root, loops: [root], leads: [], places: placesOnLines() };
  network.places.add(root.id, root.ring, true);
  const targets = [...left].flatMap(({ id }) => pieces.get(id) ?? []);
  const front = wavefront(
    visibility(
      open,
      [...byId.values()].map(({ ring }) => ring),
    ),
    targets,
  );
  front.spread(pieces.get(root.id) ?? []);
  for (let reached = front.reach(); reached !== undefined; reached = front.reach()) {
    const loop = byId.get(reached.to.owner);
    if (loop === undefined) continue;
    left.delete(loop);
    network.loops.push(loop);
    network.places.add(loop.id, loop.ring, true);
    const line = reached.line.slice();
    line.set(network.places.put(reached.from.owner, reached.from.edge, line[0], line[1]));
    line.set(
      network.places.put(loop.id, reached.to.edge, line[line.length - 2], line[line.length - 1]),
      line.length - 2,
    );
    const id = `lead-${leadCount + network.leads.length + 1}`;
    network.places.add(id, line, false);
    network.leads.push({ id, line, lengthM: lineLengthM(line), connects: [reached.from.owner, loop.id] });
    front.spread([...(pieces.get(loop.id) ?? []), ...linePieces(line, id)]);
  }
  return network;
}

function piecesOf(loop: Loop, station: Station | undefined, rules: Rules): Piece[] {
  const stretches: Disliked[] = [];
  if (station?.loopId === loop.id && station.role === 'charging') {
    stretches.push({
      fromM: station.alongM - rules.stationStraightBeforeM,
      toM: station.alongM + rules.stationStraightBehindM,
      costM: STATION_DETOUR_M,
    });
  }
  return ringPieces(loop.ring, loop.id, { cornerClearM: CORNER_CLEAR_M, cornerCostM: CORNER_CLEAR_M, stretches });
}

function linePieces(line: Polyline, owner: string): Piece[] {
  return Array.from({ length: line.length / 2 - 1 }, (_, edge) => ({
    owner,
    edge,
    ax: line[2 * edge],
    ay: line[2 * edge + 1],
    bx: line[2 * edge + 2],
    by: line[2 * edge + 3],
    costM: 0,
  }));
}

/** One closed route over a network, from the station, or from the middle of the root's longest straight where there is none. */
function walk(network: Network, station: Station | undefined, signalUnit: number): Route {
  const { root, loops, leads, places } = network;
  const begin = station?.at ?? middleOfLongestEdge(root.ring);
  const [x, y] = places.put(root.id, nearestEdge(root.ring, begin), begin.x, begin.y);
  const strands: Strand<Route['spans'][number]['of']>[] = [
    ...loops.map(({ id, kind }) => ({ id, of: kind, closed: true, line: places.lineOf(id) })),
    ...leads.map(({ id }) => ({ id, of: 'lead' as const, closed: false, line: places.lineOf(id) })),
  ];
  const { line, runs } = walkNetwork(strands, x, y);
  const chainageM = new Float64Array(line.length / 2);
  for (let k = 1; k < chainageM.length; k++) {
    chainageM[k] = chainageM[k - 1] + distanceM(line[2 * k - 2], line[2 * k - 1], line[2 * k], line[2 * k + 1]);
  }
  const lengthM = chainageM[chainageM.length - 1];
  return { id: `route-${signalUnit}`, signalUnit, line, chainageM, lengthM, spans: runs };
}

function nearestEdge(ring: Float64Array, { x, y }: PlanePoint): number {
  let [nearest, leastM] = [0, Number.POSITIVE_INFINITY];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const apartM = pointSegmentM(x, y, ring[i], ring[i + 1], ring[j], ring[j + 1]);
    if (apartM < leastM) [nearest, leastM] = [i / 2, apartM];
  }
  return nearest;
}

function middleOfLongestEdge(ring: Float64Array): PlanePoint {
  let [at, longestM]: [PlanePoint, number] = [{ x: ring[0], y: ring[1] }, -1];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const edgeM = distanceM(ring[i], ring[i + 1], ring[j], ring[j + 1]);
    if (edgeM <= longestM) continue;
    [at, longestM] = [{ x: (ring[i] + ring[j]) / 2, y: (ring[i + 1] + ring[j + 1]) / 2 }, edgeM];
  }
  return at;
}

/** Why a loop cannot be joined to a network: found out by laying the lead without heed of the no-wire ground. */
function causeOf(input: JoinRouteInput, part: number, network: Network | undefined, loop: Loop): string {
  if (network === undefined) return 'there is no boundary loop on this ground to join it to';
  if (input.lawn.noWire.length === 0) return 'keep-outs or the edge of the ground leave no way for a lead';
  const rings = input.loops.loops.filter((other) => other.part === part).map(({ ring }) => ring);
  const front = wavefront(visibility(openGround(input, part, false), rings), linePieces(closed(loop.ring), loop.id));
  front.spread([...network.loops, ...network.leads].flatMap((from) => linePieces(lineOf(from), from.id)));
  return front.reach() === undefined
    ? 'keep-outs or the edge of the ground leave no way for a lead'
    : 'ground where nothing may be laid is in the way';
}

const lineOf = (from: Loop | Lead): Float64Array => ('ring' in from ? closed(from.ring) : from.line);
const closed = (ring: Float64Array): Float64Array => Float64Array.from([...ring, ring[0], ring[1]]);

function ownSignal(loop: Loop, cause: string): Finding {
  return {
    code: 'join-route.cannot-join',
    severity: 'caution',
    message: `${loop.id} (${loop.lengthM.toFixed(1)} m) cannot be joined to the rest of the wire: ${cause}.`,
    advice: 'It gets a signal unit of its own here; plan a second outlet, or open a way for a lead and plan again.',
    value: loop.lengthM,
    unit: 'm',
    at: { x: loop.ring[0], y: loop.ring[1] },
    subject: loop.id,
  };
}

function cutOff(loop: Loop, cause: string): Finding {
  return {
    code: 'join-route.cannot-join',
    severity: 'stop',
    message: `The keep-out loop ${loop.id} (${loop.lengthM.toFixed(1)} m) cannot be joined to the wire: ${cause}.`,
    advice: 'Open a way for a lead to it, or guard what it keeps the machine away from by other means, and plan again.',
    value: loop.lengthM,
    unit: 'm',
    at: { x: loop.ring[0], y: loop.ring[1] },
    subject: loop.id,
  };
}

function tooLong(route: Route, { loopMaxM }: Rules): Finding[] {
  if (route.lengthM <= loopMaxM) return [];
  return [
    {
      code: 'join-route.loop-too-long',
      severity: 'caution',
      message: `${route.id} is ${route.lengthM.toFixed(1)} m long; one signal unit drives at most ${loopMaxM} m.`,
      advice: 'Split the lawn between two signal units, or take a machine whose signal unit drives a longer loop.',
      value: route.lengthM,
      limit: loopMaxM,
      unit: 'm',
      at: { x: route.line[0], y: route.line[1] },
      subject: route.id,
    },
  ];
}
