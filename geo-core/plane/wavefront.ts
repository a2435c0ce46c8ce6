import Flatbush from 'flatbush';
import type { Polyline } from '#geo-core/model/position.ts';
import {
  type Chain,
  chainsApartM,
  clippedChain,
  type Leg,
  orderOf,
  type Piece,
  pieceOf,
  pointChain,
  shortestLeg,
  steadyLegs,
} from './chain.ts';
import { distanceM, lineLengthM } from './measure.ts';
import { minHeap } from './min-heap.ts';
import { cross } from './segment.ts';
import type { Visibility } from './visibility.ts';

/**
 * Exact shortest paths from everything reached so far to the nearest thing not reached yet, among polygons with holes. A kernel:
 * Dijkstra over a visibility graph that is never built. Every origin (a line to begin on, a corner already reached) looks
 * round in rings of doubling radius. The shortest leg to a goal with no heed of obstacles is tried first: where it is clear
 * nothing else can be shorter, and that is nearly always so. Only an origin with a blocked leg looks at the corners around it.
 *
 * Why it is exact: a shortest path is a taut string (Lozano-Pérez and Wesley 1979, from memory): straight legs that bend at
 * corners of the obstacles only, wrap round the corners they bend at, and end on a line where no small move along it
 * would shorten them. All events wait in order of a lower bound of the path they stand for.
 */
export type Reached = {
  readonly from: Piece;
  readonly to: Piece;
  readonly line: Polyline;
  readonly lengthM: number;
};

export type Wavefront = {
  /** One more line that paths may begin on. */
  spread(chain: Chain): void;
  /** The target, not reached before, whose path with its costs is the shortest; undefined when none is left within `withinM`. */
  reach(withinM?: number): Reached | undefined;
};

type Origin = {
  /** Metres walked so far; the costs of a line's own pieces come on top. */
  readonly dM: number;
  readonly chain: Chain;
  readonly corner?: { readonly index: number; readonly from: Origin; readonly leg: Leg };
};
type Look = {
  readonly kind: 'look';
  readonly at: 'goals' | 'corners';
  readonly origin: Origin;
  readonly seenM: number;
  readonly radiusM: number;
};
/** The search for a clear leg to a goal or a corner. */
type Trial = {
  readonly kind: 'trial';
  readonly origin: Origin;
  readonly of: 'goal' | 'corner';
  readonly index: number;
  /** Legs still to be tried, the next one last; all steady legs up to `seenM` have been among them. */
  readonly legs: readonly Leg[];
  readonly seenM: number;
  /** The leg with the least total was tried first. */
  readonly first: Leg;
};

/** No leg still to come has a smaller total. */
const leastTotalM = ({ legs, seenM, first }: Trial): number =>
  legs.length > 0 ? legs[legs.length - 1].totalM : Math.max(seenM, first.totalM);

const FIRST_LOOK_M = 2;
/** Lengths this near each other are looked at together, metres. */
const SLACK_M = 1e-7;
/** A corner's neighbour this near the line of a leg lies on it, metres: a thousand steps of the grid. */
const ON_LINE_M = 1e-4;

/** Chains of the same owner are reached together: the first path to any of them. */
export function wavefront(ground: Visibility, targets: readonly Chain[]): Wavefront {
  const goals = targets.flatMap((chain) => onGround(ground, chain) ?? []);
  const goalBoxes = boxesOf(goals);
  const left = new Set(goals.map(({ owner }) => owner));
  const bending = new Set<Origin>();
  const events = minHeap<Look | Trial>();
  const extent = Float64Array.of(Infinity, Infinity, -Infinity, -Infinity);
  for (const { boxes } of goals) widen(extent, boxes);
  let book: CornerBook | undefined;

  const farthestM = (): number => distanceM(extent[0], extent[1], extent[2], extent[3]);

  function begin(origin: Origin): void {
    const first = { kind: 'look', origin, seenM: -1, radiusM: FIRST_LOOK_M } as const;
    events.push(orderOf(origin.dM), { ...first, at: 'goals' });
    if (origin.corner !== undefined) events.push(orderOf(origin.dM), { ...first, at: 'corners' });
  }

  /** From now on paths from this line may bend. */
  function bend(origin: Origin): void {
    if (origin.corner !== undefined || bending.has(origin)) return;
    bending.add(origin);
    if (book === undefined) {
      book = cornerBook(ground);
      for (const { boxes } of book.chains) widen(extent, boxes);
    }
    events.push(orderOf(origin.dM), { kind: 'look', at: 'corners', origin, seenM: -1, radiusM: FIRST_LOOK_M });
  }

  /** The ring, then the next one, twice as wide, until it holds everything. */
  function look(event: Look): void {
    if (event.at === 'goals') lookForGoals(event);
    else if (book !== undefined) lookForCorners(event, book);
    if (event.radiusM >= farthestM()) return;
    const next = { ...event, seenM: event.radiusM, radiusM: 2 * event.radiusM };
    events.push(orderOf(event.origin.dM + event.radiusM), next);
  }

  function lookForGoals({ origin, seenM, radiusM }: Look): void {
    const { chain } = origin;
    for (const index of within(goalBoxes, chain, radiusM, (each) => left.has(goals[each].owner))) {
      const apartM = chainsApartM(chain, goals[index]);
      if (apartM <= seenM || apartM > radiusM) continue;
      tryFirst(origin, 'goal', index, goals[index]);
    }
  }

  function lookForCorners({ origin, seenM, radiusM }: Look, { chains, reachedM, boxes, at, beside }: CornerBook): void {
    const { chain, corner } = origin;
    for (const index of within(boxes, chain, radiusM)) {
      if (index === corner?.index) continue;
      const apartM = chainsApartM(chain, chains[index]);
      if (apartM <= seenM || apartM > radiusM || origin.dM + apartM >= reachedM[index]) continue;
      if (corner !== undefined) {
        const [ax, ay, bx, by] = [chain.at[0], chain.at[1], at[2 * index], at[2 * index + 1]];
        if (!isTangent(beside, index, ax, ay, bx, by, apartM) || !bendsRound(beside, corner, bx, by, apartM)) continue;
      }
      tryFirst(origin, 'corner', index, chains[index]);
    }
  }

  function tryFirst(origin: Origin, of: Trial['of'], index: number, chain: Chain): void {
    const first = shortestLeg(origin.chain, chain);
    const seenM = first.totalM - origin.chain.mostCostM - chain.mostCostM - SLACK_M;
    wait({ kind: 'trial', origin, of, index, legs: [first], seenM, first });
  }

  function wait(trial: Trial): void {
    events.push(orderOf(trial.origin.dM + leastTotalM(trial)), trial);
  }

  function tryLeg(trial: Trial): Reached | undefined {
    const { origin, of, index, legs } = trial;
    const leg = legs[legs.length - 1];
    if (of === 'goal' ? !left.has(goals[index].owner) : isSettled(trial)) return undefined;
    if (leg === undefined) {
      if (trial.seenM < farthestM()) wait(moreLegs(trial));
    } else if (isClear(trial, leg)) {
      if (of === 'goal') return arrive(goals[index], origin, leg);
      turn(trial, leg);
    } else {
      if (of === 'goal') bend(origin);
      const rest = legs.slice(0, -1);
      const onlyOne = origin.corner !== undefined && of === 'corner';
      if (rest.length > 0 || !onlyOne) wait({ ...trial, legs: rest });
    }
    return undefined;
  }

  const isSettled = (trial: Trial): boolean =>
    book === undefined || trial.origin.dM + leastTotalM(trial) >= book.reachedM[trial.index];

  /** All steady legs of the next ring: the leg that was tried first is not among them. */
  function moreLegs(trial: Trial): Trial {
    const { origin, of, index, first } = trial;
    const seenM = Math.max(FIRST_LOOK_M, 2 * trial.seenM);
    const chain = of === 'goal' ? goals[index] : book?.chains[index];
    if (chain === undefined) return { ...trial, seenM };
    const legs = steadyLegs(origin.chain, chain, trial.seenM, seenM)
      .filter(({ from, to }) => from !== first.from || to !== first.to)
      .toReversed();
    return { ...trial, legs, seenM };
  }

  function isClear({ origin: { corner }, of, index }: Trial, leg: Leg): boolean {
    const { ax, ay, bx, by, distanceM: lengthM } = leg;
    if (book !== undefined && lengthM > 0) {
      if (of === 'corner' && !isTangent(book.beside, index, ax, ay, bx, by, lengthM)) return false;
      if (corner !== undefined && !bendsRound(book.beside, corner, bx, by, lengthM)) return false;
    }
    return ground.sees(ax, ay, bx, by, corner === undefined, of === 'goal');
  }

  function arrive(goal: Chain, origin: Origin, leg: Leg): Reached {
    left.delete(goal.owner);
    return pathTo(pieceOf(goal, leg.to), origin, leg);
  }

  function turn({ origin, index }: Trial, leg: Leg): void {
    if (book === undefined) return;
    const dM = origin.dM + leg.totalM;
    book.reachedM[index] = dM;
    begin({ dM, chain: book.chains[index], corner: { index, from: origin, leg } });
  }

  const stale = ({ dM, corner }: Origin): boolean =>
    corner !== undefined && book !== undefined && book.reachedM[corner.index] < dM;

  return {
    spread(chain) {
      const open = onGround(ground, chain);
      if (open === undefined) return;
      widen(extent, open.boxes);
      begin({ dM: 0, chain: open });
    },
    reach(withinM = Number.POSITIVE_INFINITY) {
      while (left.size > 0 && (events.leastKey() ?? Number.POSITIVE_INFINITY) <= orderOf(withinM)) {
        const event = events.pop();
        if (event === undefined) return undefined;
        if (stale(event.origin)) continue;
        if (event.kind === 'look') {
          look(event);
          continue;
        }
        const reached = tryLeg(event);
        if (reached !== undefined) return reached;
      }
      return undefined;
    },
  };
}

function pathTo(to: Piece, lastOrigin: Origin, lastLeg: Leg): Reached {
  const points = [lastLeg.by, lastLeg.bx];
  let [origin, leg] = [lastOrigin, lastLeg];
  while (true) {
    if (leg.ax !== points[points.length - 1] || leg.ay !== points[points.length - 2]) points.push(leg.ay, leg.ax);
    if (origin.corner === undefined) break;
    ({ from: origin, leg } = origin.corner);
  }
  if (points.length === 2) points.push(leg.ay, leg.ax);
  const line = Float64Array.from(points.toReversed());
  return { from: pieceOf(origin.chain, leg.from), to, line, lengthM: lineLengthM(line) };
}

function onGround(ground: Visibility, chain: Chain): Chain | undefined {
  return ground.allInside ? chain : clippedChain(chain, ground.clip);
}

/** The corners a path may bend at, each a chain of one point, with how far they are on the best path known. */
type CornerBook = {
  readonly at: Float64Array;
  readonly beside: Float64Array;
  readonly chains: readonly Chain[];
  readonly reachedM: Float64Array;
  readonly boxes: Flatbush | undefined;
};

function cornerBook(ground: Visibility): CornerBook {
  const { at, beside } = ground.corners();
  const chains = Array.from({ length: at.length / 2 }, (_, index) =>
    pointChain('corner', index, at[2 * index], at[2 * index + 1]),
  );
  const reachedM = new Float64Array(chains.length).fill(Number.POSITIVE_INFINITY);
  return { at, beside, chains, reachedM, boxes: boxesOf(chains) };
}

/** On which side of the line a-b the edges at a corner lie: 0 along the line, undefined where the line runs into the obstacle. */
function sideOfEdges(
  beside: Float64Array,
  index: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  lengthM: number,
): number | undefined {
  const i = 4 * index;
  const before = cross(ax, ay, bx, by, beside[i], beside[i + 1]);
  const after = cross(ax, ay, bx, by, beside[i + 2], beside[i + 3]);
  const slack = ON_LINE_M * lengthM;
  const left = before > slack || after > slack;
  const right = before < -slack || after < -slack;
  if (left && right) return undefined;
  return Number(left) - Number(right);
}

function isTangent(
  beside: Float64Array,
  index: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  lengthM: number,
): boolean {
  return lengthM === 0 || sideOfEdges(beside, index, ax, ay, bx, by, lengthM) !== undefined;
}

/** Whether a leg from a corner to (x, y) goes on round it: it bends towards the obstacle, and no farther than along its edge. */
function bendsRound(
  beside: Float64Array,
  { index, leg }: { readonly index: number; readonly leg: Leg },
  x: number,
  y: number,
  lengthM: number,
): boolean {
  if (lengthM === 0) return true;
  const side = sideOfEdges(beside, index, leg.bx, leg.by, x, y, lengthM);
  if (side === undefined) return false;
  return side * cross(leg.ax, leg.ay, leg.bx, leg.by, x, y) >= -ON_LINE_M * leg.distanceM;
}

function boxesOf(chains: readonly Chain[]): Flatbush | undefined {
  if (chains.length === 0) return undefined;
  const index = new Flatbush(chains.length);
  for (const { boxes } of chains) index.add(boxes[4], boxes[5], boxes[6], boxes[7]);
  index.finish();
  return index;
}

/** Items whose boxes meet the box of a chain widened by a radius. */
function within(
  index: Flatbush | undefined,
  { boxes }: Chain,
  radiusM: number,
  test?: (item: number) => boolean,
): number[] {
  return index?.search(boxes[4] - radiusM, boxes[5] - radiusM, boxes[6] + radiusM, boxes[7] + radiusM, test) ?? [];
}

function widen(extent: Float64Array, boxes: Float64Array): void {
  extent[0] = Math.min(extent[0], boxes[4]);
  extent[1] = Math.min(extent[1], boxes[5]);
  extent[2] = Math.max(extent[2], boxes[6]);
  extent[3] = Math.max(extent[3], boxes[7]);
}
