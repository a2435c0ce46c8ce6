import type { Lead, Loop, Station } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { type Chain, chainFrom, straightApartM } from '#geo-core/plane/chain.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { type PlacesOnLines, placesOnLines } from '#geo-core/plane/places-on-lines.ts';
import { type Disliked, ringPieces } from '#geo-core/plane/ring-pieces.ts';
import { type Visibility, visibility } from '#geo-core/plane/visibility.ts';
import { wavefront } from '#geo-core/plane/wavefront.ts';
import { layJoints, plainJoints } from './lay-joints.ts';
import { leadBoundM } from './lead-bound.ts';
import { leastNetwork } from './least-network.ts';
import type { ApartM } from './least-tree.ts';
import type { LeadGround } from './open-ground.ts';

/** Loops joined by leads: what one signal unit drives. The root is the loop that the route begins on. */
export type Network = {
  readonly root: Loop;
  /** In the order in which they were joined, the root first. */
  readonly loops: readonly Loop[];
  readonly leads: readonly Lead[];
  /** The loops and leads by id, with the places where leads attach as vertices. */
  readonly places: PlacesOnLines;
  /** No network over these loops has less lead than this, metres. */
  readonly leastLeadM: number;
};

/** A lead ends this far off a sharp corner of a loop where that makes it no longer than this (common practice, no source). */
const CORNER_CLEAR_M = 0.1;
/** How much longer a lead may become to leave the straight wire at the station alone (common practice, no source). */
const STATION_DETOUR_M = 2;
/** A branch is a nuisance to lay: it has to save this share of all leads, and this much, metres (common practice, no source). */
const BRANCH_SAVES_SHARE = 0.01;
const BRANCH_SAVES_M = 0.1;

/**
 * The network of one root over all `others` that it can reach over open ground. First it is grown: always by the shortest lead
 * that reaches one more loop (Prim 1957, from memory), where a lead may also begin on an earlier lead. So it is never
 * longer than the least spanning tree over the shortest ways between loops. Up to eight loops then get the network
 * with branches where that saves enough. Lead ids count on from `leadCount`.
 */
export function growNetwork(
  ground: LeadGround,
  root: Loop,
  others: readonly Loop[],
  station: Station | undefined,
  rules: Rules,
  leadCount: number,
): Network {
  if (others.length === 0) {
    const places = placesOnLines();
    places.add(root.id, root.ring, true);
    return { root, loops: [root], leads: [], places, leastLeadM: 0 };
  }
  const chains = new Map([root, ...others].map((loop) => [loop, loopChain(loop, station, rules)]));
  const rings = [...chains.keys()].map(({ ring }) => ring);
  const sight = visibility(ground.open, rings, ground.holdsLoops);
  const grown = growPlain(sight, root, chains, leadCount);
  if (grown.leads.length === 0) return { ...grown, root, leastLeadM: 0 };
  const inOrder = grown.loops.flatMap((loop) => chains.get(loop) ?? []);
  const apartM = apartOf(inOrder);
  const leastLeadM = leadBoundM(inOrder, apartM, grown.stepsM);
  const leadM = sumM(grown.leads);
  const worthM = leadM - Math.max(BRANCH_SAVES_M, BRANCH_SAVES_SHARE * leadM);
  const touches = grown.leads.some(({ lengthM }) => lengthM === 0);
  if (leastLeadM >= worthM || touches) return { ...grown, root, leastLeadM };
  const joints = leastNetwork(inOrder, sight, apartM, plainJoints(grown));
  if (joints === undefined || joints.reduce((sum, { lengthM }) => sum + lengthM, 0) > worthM) {
    return { ...grown, root, leastLeadM };
  }
  return { root, loops: grown.loops, ...layJoints(joints, grown.loops, leadCount), leastLeadM };
}

const sumM = (leads: readonly Lead[]): number => leads.reduce((sum, { lengthM }) => sum + lengthM, 0);

/** Straight distances between loops, each reckoned once. */
function apartOf(loops: readonly Chain[]): ApartM {
  const knownM = new Map<number, number>();
  return (a, b) => {
    const pair = a * loops.length + b;
    const known = knownM.get(pair);
    if (known !== undefined) return known;
    const lengthM = straightApartM(loops[a], loops[b]);
    knownM.set(pair, lengthM);
    return lengthM;
  };
}

type Grown = Omit<Network, 'root' | 'leastLeadM'> & {
  /** For every step the edges of the loops or leads that its lead joins. */
  readonly edges: readonly (readonly [number, number])[];
  /** What every way from the loops joined before to the others is at least long, metres. */
  readonly stepsM: readonly number[];
};

function growPlain(sight: Visibility, root: Loop, chains: ReadonlyMap<Loop, Chain>, leadCount: number): Grown {
  const byId = new Map([...chains.keys()].map((loop) => [loop.id, loop]));
  const front = wavefront(
    sight,
    [...chains].flatMap(([loop, chain]) => (loop === root ? [] : [chain])),
  );
  const [dearestM = 0, secondM = 0] = [...chains.values()].map(({ mostCostM }) => mostCostM).toSorted((a, b) => b - a);
  const places = placesOnLines();
  const loops: Loop[] = [];
  const leads: Lead[] = [];
  const edges: [number, number][] = [];
  const stepsM: number[] = [];

  function take(loop: Loop): void {
    loops.push(loop);
    places.add(loop.id, loop.ring, true);
    const chain = chains.get(loop);
    if (chain !== undefined) front.spread(chain);
  }

  take(root);
  for (let reached = front.reach(); reached !== undefined; reached = front.reach()) {
    const { from, to, lengthM } = reached;
    const loop = byId.get(to.owner);
    if (loop === undefined) continue;
    take(loop);
    const line = reached.line.slice();
    const last = line.length - 2;
    line.set(places.put(from.owner, from.edge, line[0], line[1]));
    line.set(places.put(loop.id, to.edge, line[last], line[last + 1]), last);
    const id = `lead-${leadCount + leads.length + 1}`;
    places.add(id, line, false);
    leads.push({ id, line, lengthM: lineLengthM(line), connects: [from.owner, loop.id] });
    edges.push([from.edge, to.edge]);
    stepsM.push(lengthM + from.costM + to.costM - dearestM - secondM);
    front.spread(lineChain(line, id));
  }
  return { loops, leads, places, edges, stepsM };
}

/** A line that a path may begin or end on anywhere at no cost. */
export function lineChain(line: Polyline, owner: string): Chain {
  const count = line.length / 2 - 1;
  const at = new Float64Array(4 * count);
  const edges = new Int32Array(count);
  for (let edge = 0; edge < count; edge++) {
    at.set(line.subarray(2 * edge, 2 * edge + 4), 4 * edge);
    edges[edge] = edge;
  }
  return chainFrom(owner, at, edges, new Float64Array(count));
}

function loopChain(loop: Loop, station: Station | undefined, rules: Rules): Chain {
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
