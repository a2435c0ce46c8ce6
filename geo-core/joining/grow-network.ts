import type { Lead, Loop, Station } from '#geo-core/model/plane-plan.ts';
import type { Polyline, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { type Chain, chainFrom } from '#geo-core/plane/chain.ts';
import { type PlacesOnLines, placesOnLines } from '#geo-core/plane/places-on-lines.ts';
import { ringPieces, type Stretch } from '#geo-core/plane/ring-pieces.ts';
import { type Visibility, visibility } from '#geo-core/plane/visibility.ts';
import { joinLoops } from './join-loops.ts';
import { layJoints } from './lay-joints.ts';
import type { LeadGround } from './open-ground.ts';

/** Loops joined by leads: what one signal unit drives. The root is the loop that the route begins on. */
export type Network = {
  readonly root: Loop;
  /** The root first. */
  readonly loops: readonly Loop[];
  readonly leads: readonly Lead[];
  /** The loops and leads by id, with the places where leads attach as vertices. */
  readonly places: PlacesOnLines;
  /** No network over these loops has less lead than this, metres. */
  readonly leastLeadM: number;
};

/** No lead ends this near to a sharp corner of a loop (common practice, no source). */
const CORNER_CLEAR_M = 0.1;

/**
 * The network of one root over all `others` that it can reach over open ground, as short as it can be with no lead on the straight
 * wire at the charging station nor at a sharp corner; only loops that cannot be reached otherwise are met there. Lead ids count on from `leadCount`.
 * No lead touches what is laid already.
 */
export function growNetwork(
  ground: LeadGround,
  root: Loop,
  others: readonly Loop[],
  station: Station | undefined,
  rules: Rules,
  leadCount: number,
  laid: readonly Ring[] = [],
): Network {
  const loops = [root, ...others];
  if (others.length === 0) {
    const places = placesOnLines();
    places.add(root.id, root.ring, true);
    return { root, loops, leads: [], places, leastLeadM: 0 };
  }
  const sight = visibility(ground.open, [...loops.map(({ ring }) => ring), ...laid], ground.holdsLoops);
  const welcome = loops.map((loop) => welcomeOn(loop, station, rules));
  const { joints, leastM } = joinAll(sight, loops, welcome);
  const reached = loops.filter((_, index) => index === 0 || joints.some((joint) => joint.loops.includes(index)));
  return { root, loops: reached, ...layJoints(joints, loops, leadCount), leastLeadM: leastM };
}

function joinAll(sight: Visibility, loops: readonly Loop[], welcome: readonly Chain[]): ReturnType<typeof joinLoops> {
  const joined = joinLoops(welcome, sight);
  if (joined.reachesAll) return joined;
  const anywhere = joinLoops(
    loops.map(({ ring, id }) => ringPieces(ring, id, { cornerClearM: 0, without: [] })),
    sight,
  );
  return anywhere.joints.length > joined.joints.length ? anywhere : joined;
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

function welcomeOn(loop: Loop, station: Station | undefined, rules: Rules): Chain {
  const without: Stretch[] = [];
  if (station?.loopId === loop.id && station.role === 'charging') {
    without.push({
      fromM: station.alongM - rules.stationStraightBeforeM,
      toM: station.alongM + rules.stationStraightBehindM,
    });
  }
  return ringPieces(loop.ring, loop.id, { cornerClearM: CORNER_CLEAR_M, without });
}
