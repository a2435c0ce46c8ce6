import { growNetwork, lineChain, type Network } from '#geo-core/joining/grow-network.ts';
import { openGround } from '#geo-core/joining/open-ground.ts';
import type { Finding, Severity, Staged } from '#geo-core/model/finding.ts';
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
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { visibility } from '#geo-core/plane/visibility.ts';
import { type Strand, walkNetwork } from '#geo-core/plane/walk-network.ts';
import { wavefront } from '#geo-core/plane/wavefront.ts';

export type JoinRouteInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly loops: LaidLoops;
  readonly stations: SitedStations;
};

type Driven = { readonly network: Network; readonly station: Station | undefined };

/**
 * Joins the loops of every ground part by leads and walks each network as one closed route, first and last at its station.
 * Loops that cannot be joined are findings: a boundary loop then gets a signal unit and a route of its own, a keep-out loop
 * stays without current. Routes are numbered from the charging station's on.
 */
export function joinRoute(input: JoinRouteInput, rules: Rules): Staged<JoinedRoute> {
  const findings: Finding[] = [];
  const driven: Driven[] = [];
  for (const part of partsInOrder(input)) {
    const joined = joinPart(input, part, rules, driven.flatMap(({ network }) => network.leads).length);
    driven.push(...joined.driven);
    findings.push(...joined.findings);
  }
  const routes = driven.map(({ network, station }, index) => walk(network, station, index + 1));
  const leads = driven.flatMap(({ network }) => network.leads);
  const leastM = driven.reduce((sum, { network }) => sum + network.leastLeadM, 0);
  return { output: { leads, routes, ...(leads.length > 0 && gapOf(leads, leastM)) }, findings };
}

/** Leads of no length are as short as can be. */
function gapOf(leads: readonly Lead[], leastM: number): { leadLowerBoundM: number; leadGapPct: number } {
  const overM = leads.reduce((sum, { lengthM }) => sum + lengthM, 0) - leastM;
  return { leadLowerBoundM: leastM, leadGapPct: leastM > 0 ? (100 * Math.max(0, overM)) / leastM : 0 };
}

/** The part of the charging station first, then the other stations' parts, then any without a station. */
function partsInOrder({ loops, stations }: JoinRouteInput): number[] {
  return [...new Set([...stations.stations, ...loops.loops].map(({ part }) => part))];
}

function joinPart(
  input: JoinRouteInput,
  part: number,
  rules: Rules,
  leadCount: number,
): { driven: Driven[]; findings: Finding[] } {
  const station = input.stations.stations.find((candidate) => candidate.part === part);
  const own = input.loops.loops.filter((loop) => loop.part === part);
  const ground = openGround(input.lawn, input.loops, part, input.site.gridM, true);
  const driven: Driven[] = [];
  const findings: Finding[] = [];
  let left = own;
  for (let root = nextRoot(left, station); root !== undefined; root = nextRoot(left, station)) {
    const main = driven[0]?.network;
    if (main !== undefined) findings.push(cannotJoin(root, causeOf(input, own, main, root)));
    const others = left.filter((loop) => loop !== root);
    const before = leadCount + driven.flatMap(({ network }) => network.leads).length;
    const network = growNetwork(ground, root, others, station, rules, before);
    driven.push({ network, station: station?.loopId === root.id ? station : undefined });
    left = others.filter((loop) => !network.loops.includes(loop));
  }
  findings.push(...left.map((loop) => cannotJoin(loop, causeOf(input, own, driven[0]?.network, loop))));
  return { driven, findings };
}

/** The station's loop, else the longest boundary loop left. */
function nextRoot(left: readonly Loop[], station: Station | undefined): Loop | undefined {
  const boundaries = left.filter(({ kind }) => kind === 'boundary');
  const own = boundaries.find(({ id }) => id === station?.loopId);
  return own ?? boundaries.toSorted((a, b) => b.lengthM - a.lengthM)[0];
}

/** One closed route over a network, from the station, or from the middle of the root's longest straight where there is none. */
function walk({ root, loops, leads, places }: Network, station: Station | undefined, signalUnit: number): Route {
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

/** Why a loop cannot be joined to a network: found out by looking for a way without heed of the no-wire ground. */
function causeOf(input: JoinRouteInput, own: readonly Loop[], network: Network | undefined, loop: Loop): string {
  const shut = 'keep-outs or the edge of the ground leave no way for a lead';
  if (network === undefined) return 'there is no boundary loop on this ground to join it to';
  if (input.lawn.noWire.length === 0) return shut;
  const { open } = openGround(input.lawn, input.loops, loop.part, input.site.gridM, false);
  const walls = visibility(
    open,
    own.map(({ ring }) => ring),
  );
  const front = wavefront(walls, [lineChain(lineOf(loop), loop.id)]);
  for (const from of [...network.loops, ...network.leads]) front.spread(lineChain(lineOf(from), from.id));
  return front.reach() === undefined ? shut : 'ground where nothing may be laid is in the way';
}

function lineOf(from: Loop | Lead): Float64Array {
  return 'ring' in from ? Float64Array.from([...from.ring, from.ring[0], from.ring[1]]) : from.line;
}

function cannotJoin({ id, kind, lengthM, ring }: Loop, cause: string): Finding {
  const [severity, advice]: [Severity, string] =
    kind === 'boundary'
      ? [
          'caution',
          'It has a signal unit of its own here: plan a second outlet, or open a way for a lead and plan again.',
        ]
      : ['stop', 'Open a way for a lead, or guard what it keeps the machine away from by other means, and plan again.'];
  return {
    code: 'join-route.cannot-join',
    severity,
    message: `${id} (${lengthM.toFixed(1)} m of wire) cannot be joined to the rest: ${cause}.`,
    advice,
    value: lengthM,
    unit: 'm',
    at: { x: ring[0], y: ring[1] },
    subject: id,
  };
}
