import type { Lead, Loop, Station } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { type Chain, chainFrom } from '#geo-core/plane/chain.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { type PlacesOnLines, placesOnLines } from '#geo-core/plane/places-on-lines.ts';
import { type Disliked, ringPieces } from '#geo-core/plane/ring-pieces.ts';
import { visibility } from '#geo-core/plane/visibility.ts';
import { wavefront } from '#geo-core/plane/wavefront.ts';
import type { LeadGround } from './open-ground.ts';

/** Loops joined by leads: what one signal unit drives. The root is the loop that the route begins on. */
export type Network = {
  readonly root: Loop;
  readonly loops: readonly Loop[];
  readonly leads: readonly Lead[];
  /** The loops and leads by id, with the places where leads attach as vertices. */
  readonly places: PlacesOnLines;
};

/** A lead ends this far off a sharp corner of a loop where that makes it no longer than this (common practice, no source). */
const CORNER_CLEAR_M = 0.1;
/** How much longer a lead may become to leave the straight wire at the station alone (common practice, no source). */
const STATION_DETOUR_M = 2;

/**
 * Grows the network of one root over all `others` that it can reach over open ground: always by the shortest lead that
 * reaches one more loop (Prim 1957, from memory), where a lead may also begin on an earlier lead. So it is never longer
 * than the least spanning tree over the shortest ways between loops. Lead ids count on from `leadCount`.
 */
export function growNetwork(
  ground: LeadGround,
  root: Loop,
  others: readonly Loop[],
  station: Station | undefined,
  rules: Rules,
  leadCount: number,
): Network {
  const byId = new Map([root, ...others].map((loop) => [loop.id, loop]));
  const chains = new Map([...byId].map(([id, loop]) => [id, loopChain(loop, station, rules)]));
  const rings = [...byId.values()].map(({ ring }) => ring);
  const front = wavefront(
    visibility(ground.open, rings, ground.holdsLoops),
    others.flatMap(({ id }) => chains.get(id) ?? []),
  );
  const places = placesOnLines();
  const loops: Loop[] = [];
  const leads: Lead[] = [];

  function take(loop: Loop): void {
    loops.push(loop);
    places.add(loop.id, loop.ring, true);
    const chain = chains.get(loop.id);
    if (chain !== undefined) front.spread(chain);
  }

  take(root);
  for (let reached = front.reach(); reached !== undefined; reached = front.reach()) {
    const loop = byId.get(reached.to.owner);
    if (loop === undefined) continue;
    take(loop);
    const line = reached.line.slice();
    const last = line.length - 2;
    line.set(places.put(reached.from.owner, reached.from.edge, line[0], line[1]));
    line.set(places.put(loop.id, reached.to.edge, line[last], line[last + 1]), last);
    const id = `lead-${leadCount + leads.length + 1}`;
    places.add(id, line, false);
    leads.push({ id, line, lengthM: lineLengthM(line), connects: [reached.from.owner, loop.id] });
    front.spread(lineChain(line, id));
  }
  return { root, loops, leads, places };
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
