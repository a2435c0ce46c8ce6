import { loopResistanceOhm, wireLimit } from '#geo-core/field/loop-resistance.ts';
import { type Apart, cannotJoin } from '#geo-core/joining/cannot-join.ts';
import { growNetwork, lineChain, type Network } from '#geo-core/joining/grow-network.ts';
import { networkWithin, type WithinLimit, wireRings } from '#geo-core/joining/network-within.ts';
import { openGround } from '#geo-core/joining/open-ground.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  BegunRoute,
  DerivedLawn,
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
import { outletsOf } from '#geo-core/siting/cable-ways.ts';
import { signalPlace } from '#geo-core/siting/signal-place.ts';

export type JoinRouteInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly loops: LaidLoops;
  readonly stations: SitedStations;
};

/** A network and where its route begins. */
type Driven = { readonly network: Network; readonly station: Station };

/**
 * Joins the loops of every ground part by leads and walks each network as one closed route, first and last at its station.
 * A network with more wire or resistance than one signal unit drives is parted by whole boundary loops. Boundary loops that cannot be joined, or would make the wire
 * too long, get a signal unit, a station and a route of their own, and a finding says why; a keep-out loop that cannot be joined
 * stays without current. Routes are numbered from the charging station's on.
 */
export function joinRoute(input: JoinRouteInput, rules: Rules): Staged<BegunRoute> {
  const findings: Finding[] = [];
  const driven: Driven[] = [];
  for (const part of partsInOrder(input)) {
    const joined = joinPart(input, part, rules, driven);
    driven.push(...joined.driven);
    findings.push(...joined.findings);
  }
  const routes = driven.map(({ network, station }, index) => walk(network, station, index + 1));
  const leads = driven.flatMap(({ network }) => network.leads);
  const leastM = driven.reduce((sum, { network }) => sum + network.leastLeadM, 0);
  const stations = driven.map(({ station }) => station);
  return { output: { leads, routes, stations, ...(leads.length > 0 && gapOf(leads, leastM)) }, findings };
}

/** Leads of no length are as short as can be. */
function gapOf(leads: readonly Lead[], leastM: number): { leadLowerBoundM: number; leadGapPct: number } {
  const leadM = leads.reduce((sum, { lengthM }) => sum + lengthM, 0);
  // Summed in another order, the same lengths differ in the last bits.
  const boundM = leadM - leastM < 1e-9 ? leadM : leastM;
  return { leadLowerBoundM: boundM, leadGapPct: boundM > 0 ? (100 * (leadM - boundM)) / boundM : 0 };
}

/** The part of the charging station first, then the other stations' parts, then any without a station. */
function partsInOrder({ loops, stations }: JoinRouteInput): number[] {
  return [...new Set([...stations.stations, ...loops.loops].map(({ part }) => part))];
}

function joinPart(
  input: JoinRouteInput,
  part: number,
  rules: Rules,
  before: readonly Driven[],
): { driven: Driven[]; findings: Finding[] } {
  const { stations } = input.stations;
  const sited = stations.find((candidate) => candidate.part === part);
  const own = input.loops.loops.filter((loop) => loop.part === part);
  const ground = openGround(input.lawn, input.loops, part, input.site.gridM, true);
  const driven: Driven[] = [];
  const findings: Finding[] = [];
  const apart: Apart[] = [];
  const parted = new Set<Loop>();
  let left = own;
  for (let root = nextRoot(left, sited); root !== undefined; root = nextRoot(left, sited)) {
    const known = [...before, ...driven];
    const newCount = known.filter(({ station }) => !stations.includes(station)).length;
    const station =
      sited?.loopId === root.id ? sited : ownStation(root, `station-${stations.length + newCount + 1}`, input, rules);
    const main = driven[0]?.network;
    if (main !== undefined && !parted.has(root)) {
      apart.push({ loop: root, station, cause: causeOf(input, own, main, root) });
    }
    const others = left.filter((loop) => loop !== root);
    const leadCount = known.reduce((sum, { network }) => sum + network.leads.length, 0);
    const laid = parted.size === 0 ? [] : driven.flatMap(({ network }) => wireRings(network));
    const within = networkWithin(wireLimit(rules).mostM, [root, ...others], laid, ([first, ...more], walls) =>
      growNetwork(ground, first, more, station, rules, leadCount, walls),
    );
    if (within.parted.length > 0) findings.push(wireTooLong(within, rules));
    for (const loop of within.parted) parted.add(loop);
    driven.push({ network: within.network, station });
    left = others.filter((loop) => !within.network.loops.includes(loop));
  }
  apart.push(...left.map((loop) => ({ loop, cause: causeOf(input, own, driven[0]?.network, loop) })));
  return { driven, findings: [...findings, ...cannotJoin(apart)] };
}
/** The station of a loop with a signal unit of its own, which is connected as near to an outlet as can be. */
function ownStation(loop: Loop, id: string, { site, stations }: JoinRouteInput, rules: Rules): Station {
  const outlets = outletsOf(site);
  const goals = outlets.length > 0 ? outlets : stations.stations.slice(0, 1).map(({ at }) => at);
  return {
    ...signalPlace(site.plane, [loop], goals, rules),
    id,
    role: 'signal-only',
    part: loop.part,
    fixedByUser: false,
  };
}

/** The station's loop, else the longest boundary loop left. */
function nextRoot(left: readonly Loop[], station: Station | undefined): Loop | undefined {
  const boundaries = left.filter(({ kind }) => kind === 'boundary');
  const own = boundaries.find(({ id }) => id === station?.loopId);
  return own ?? boundaries.toSorted((a, b) => b.lengthM - a.lengthM)[0];
}

/** One closed route over a network, from its station. */
function walk({ root, loops, leads, places }: Network, { at }: Station, signalUnit: number): Route {
  const [x, y] = places.put(root.id, nearestEdge(root.ring, at), at.x, at.y);
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

/** Names the limit that forced another signal unit: length, or resistance where that is reached first. */
function wireTooLong({ network, parted, togetherM }: WithinLimit, rules: Rules): Finding {
  const areas = parted.filter(({ kind }) => kind === 'boundary');
  const others = `${areas.map(({ id }) => id).join(', ')} with their keep-out loops go to another`;
  const together = `Joined to ${network.root.id}, all would be ${togetherM.toFixed(1)} m of wire`;
  const common = {
    severity: 'caution',
    at: { x: areas[0].ring[0], y: areas[0].ring[1] },
    subject: areas[0].id,
  } as const;
  if (wireLimit(rules).by === 'length')
    return {
      ...common,
      code: 'join-route.wire-too-long',
      message: `${together}, more than the ${rules.loopMaxM} m one signal unit drives: ${others}.`,
      advice: 'Plan an outlet for each signal unit, or choose one that drives a longer wire.',
      value: togetherM,
      limit: rules.loopMaxM,
      unit: 'm',
    };
  const ohm = loopResistanceOhm(togetherM, rules);
  return {
    ...common,
    code: 'join-route.resistance-too-high',
    message: `${together} with ${ohm.toFixed(2)} Ω at ${rules.wireTemperatureC} °C, more than the ${rules.loopMaxOhm} Ω one signal unit drives: ${others}.`,
    advice: 'Take a thicker wire, or plan an outlet for each signal unit.',
    value: ohm,
    limit: rules.loopMaxOhm,
    unit: 'Ω',
  };
}
