import Flatbush from 'flatbush';
import type { Polyline } from '#geo-core/model/position.ts';
import { distanceM, lineLengthM } from './measure.ts';
import { minHeap } from './min-heap.ts';
import { nearestBetween, pointAt, type Segment } from './nearest-between.ts';
import { pointSegmentM, segmentSegmentM } from './segment.ts';
import type { Visibility } from './visibility.ts';

/**
 * Exact shortest paths from everything reached so far to the nearest thing not reached yet, among polygons with holes. A kernel:
 * Dijkstra over a visibility graph that is never built. Every origin (a piece to begin on, a corner already reached)
 * looks round in rings of doubling radius, and a leg is tested for visibility only when it is the shortest one left.
 *
 * Why it is exact: a shortest path is a taut string (Lozano-Pérez and Wesley 1979, from memory): straight legs that bend at
 * corners of the obstacles only, and meet a piece at the foot of the perpendicular or at the piece's end.
 */
export type Piece = Segment & {
  /** Name of the line the piece is part of, and which of its segments. */
  readonly owner: string;
  readonly edge: number;
  /** What it costs to begin or end here, metres on top of the length: 0 where it is welcome. */
  readonly costM: number;
};

export type Reached = {
  readonly from: Piece;
  readonly to: Piece;
  readonly line: Polyline;
  readonly lengthM: number;
};

export type Wavefront = {
  /** More pieces that paths may begin on. */
  spread(pieces: readonly Piece[]): void;
  /** The owner, not reached before, whose path with its costs is the shortest; undefined when none is left within `withinM`. */
  reach(withinM?: number): Reached | undefined;
};

type Origin = {
  readonly dM: number;
  readonly box: Segment;
  readonly piece?: Piece;
  readonly corner?: { readonly index: number; readonly from: Origin; readonly leg: Segment };
};
type Event =
  | { readonly kind: 'look'; readonly origin: Origin; readonly seenM: number; readonly radiusM: number }
  | { readonly kind: 'corner'; readonly origin: Origin; readonly index: number }
  | { readonly kind: 'goals'; readonly origin: Origin; readonly owner: string; readonly choices: Choices };
/** Goals of one owner that an origin looks at: order of the path to each and index of the goal, pair by pair. */
type Choices = number[];

const FIRST_LOOK_M = 1;
/** Lengths that agree to a nanometre are equal: the earlier one wins on every machine. */
const orderOf = (lengthM: number): number => Math.round(lengthM * 1e9);

/** Targets of one owner are reached together: the first path to any of them. */
export function wavefront(ground: Visibility, targets: readonly Piece[]): Wavefront {
  const { corners } = ground;
  const goals = onGround(ground, targets);
  const goalBoxes = boxesOf(goals);
  const cornerBoxes = cornerBoxesOf(corners);
  const reachedM = new Float64Array(corners.length / 2).fill(Number.POSITIVE_INFINITY);
  const left = new Set(goals.map(({ owner }) => owner));
  const events = minHeap<Event>();
  const extentM = extent([...goals.flatMap((goal) => [goal.ax, goal.ay, goal.bx, goal.by]), ...corners]);
  let farthestM = extentM.sizeM;

  function begin(origin: Origin): void {
    events.push(orderOf(origin.dM), { kind: 'look', origin, seenM: -1, radiusM: FIRST_LOOK_M });
  }

  function look(origin: Origin, seenM: number, radiusM: number): void {
    const { ax, ay, bx, by } = origin.box;
    const [minX, minY] = [Math.min(ax, bx) - radiusM, Math.min(ay, by) - radiusM];
    const [maxX, maxY] = [Math.max(ax, bx) + radiusM, Math.max(ay, by) + radiusM];
    for (const index of cornerBoxes?.search(minX, minY, maxX, maxY) ?? []) {
      const awayM = pointSegmentM(corners[2 * index], corners[2 * index + 1], ax, ay, bx, by);
      if (awayM <= seenM || awayM > radiusM || origin.dM + awayM >= reachedM[index]) continue;
      events.push(orderOf(origin.dM + awayM), { kind: 'corner', origin, index });
    }
    const byOwner = new Map<string, Choices>();
    for (const index of goalBoxes?.search(minX, minY, maxX, maxY) ?? []) {
      const to = goals[index];
      if (!left.has(to.owner)) continue;
      const awayM = segmentSegmentM(ax, ay, bx, by, to.ax, to.ay, to.bx, to.by);
      if (awayM <= seenM || awayM > radiusM) continue;
      const choices = byOwner.get(to.owner);
      const order = orderOf(origin.dM + awayM + to.costM);
      if (choices === undefined) byOwner.set(to.owner, [order, index]);
      else choices.push(order, index);
    }
    for (const [owner, choices] of byOwner) choose({ kind: 'goals', origin, owner, choices });
    if (radiusM >= farthestM) return;
    events.push(orderOf(origin.dM + radiusM), { kind: 'look', origin, seenM: radiusM, radiusM: 2 * radiusM });
  }

  function choose(event: Extract<Event, { kind: 'goals' }>): void {
    bringLeastForward(event.choices);
    events.push(event.choices[0], event);
  }

  function turnCorner(from: Origin, index: number): void {
    const [x, y] = [corners[2 * index], corners[2 * index + 1]];
    const corner = { ax: x, ay: y, bx: x, by: y };
    const leg = nearestBetween(from.box, corner);
    const dM = from.dM + leg.distanceM;
    if (dM >= reachedM[index] || !visible(from, leg, false)) return;
    reachedM[index] = dM;
    begin({ dM, box: corner, corner: { index, from, leg } });
  }

  /** The path to the least choice where it can be seen; else the other choices go back into the queue. */
  function tryGoals(event: Extract<Event, { kind: 'goals' }>): Reached | undefined {
    const { origin, owner, choices } = event;
    if (!left.has(owner)) return undefined;
    const to = goals[choices[1]];
    const leg = nearestBetween(origin.box, to);
    if (visible(origin, leg, true)) {
      left.delete(owner);
      return pathTo(to, origin, leg);
    }
    choices.splice(0, 2);
    if (choices.length > 0) choose(event);
    return undefined;
  }

  const visible = (origin: Origin, leg: Segment, atGoal: boolean): boolean =>
    ground.sees(leg.ax, leg.ay, leg.bx, leg.by, origin.piece !== undefined, atGoal);
  const stale = ({ dM, corner }: Origin): boolean => corner !== undefined && reachedM[corner.index] < dM;

  return {
    spread(pieces) {
      for (const piece of onGround(ground, pieces)) {
        farthestM = Math.max(farthestM, extentM.with(piece));
        begin({ dM: piece.costM, box: piece, piece });
      }
    },
    reach(withinM = Number.POSITIVE_INFINITY) {
      while (left.size > 0 && (events.leastKey() ?? Number.POSITIVE_INFINITY) <= orderOf(withinM)) {
        const event = events.pop();
        if (event === undefined) return undefined;
        if (stale(event.origin)) continue;
        if (event.kind === 'look') look(event.origin, event.seenM, event.radiusM);
        else if (event.kind === 'corner') turnCorner(event.origin, event.index);
        else {
          const reached = tryGoals(event);
          if (reached !== undefined) return reached;
        }
      }
      return undefined;
    },
  };
}

function pathTo(to: Piece, lastOrigin: Origin, lastLeg: Segment): Reached | undefined {
  const points = [lastLeg.by, lastLeg.bx];
  let [origin, leg] = [lastOrigin, lastLeg];
  while (true) {
    if (leg.ax !== points[points.length - 1] || leg.ay !== points[points.length - 2]) points.push(leg.ay, leg.ax);
    if (origin.corner === undefined) break;
    ({ from: origin, leg } = origin.corner);
  }
  if (points.length === 2) points.push(leg.ay, leg.ax);
  const line = Float64Array.from(points.toReversed());
  return origin.piece && { from: origin.piece, to, line, lengthM: lineLengthM(line) };
}

/** Swaps the choice of least order, then least index, to the front. */
function bringLeastForward(choices: Choices): void {
  let least = 0;
  for (let i = 2; i < choices.length; i += 2) {
    if (choices[i] < choices[least] || (choices[i] === choices[least] && choices[i + 1] < choices[least + 1]))
      least = i;
  }
  [choices[0], choices[least]] = [choices[least], choices[0]];
  [choices[1], choices[least + 1]] = [choices[least + 1], choices[1]];
}

function onGround(ground: Visibility, pieces: readonly Piece[]): Piece[] {
  return pieces.flatMap((piece) =>
    ground.clip(piece.ax, piece.ay, piece.bx, piece.by).map(([s, t]): Piece => {
      if (s === 0 && t === 1) return piece;
      const [ax, ay] = pointAt(piece, s);
      const [bx, by] = pointAt(piece, t);
      return { ...piece, ax, ay, bx, by };
    }),
  );
}

function boxesOf(pieces: readonly Piece[]): Flatbush | undefined {
  if (pieces.length === 0) return undefined;
  const boxes = new Flatbush(pieces.length);
  for (const { ax, ay, bx, by } of pieces) {
    boxes.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
  }
  boxes.finish();
  return boxes;
}

function cornerBoxesOf(corners: Float64Array): Flatbush | undefined {
  if (corners.length === 0) return undefined;
  const boxes = new Flatbush(corners.length / 2);
  for (let i = 0; i < corners.length; i += 2) boxes.add(corners[i], corners[i + 1]);
  boxes.finish();
  return boxes;
}

/** Size of the box around flat points, and of that box with a piece added. */
function extent(points: readonly number[]): { sizeM: number; with(piece: Piece): number } {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 2) {
    minX = Math.min(minX, points[i]);
    minY = Math.min(minY, points[i + 1]);
    maxX = Math.max(maxX, points[i]);
    maxY = Math.max(maxY, points[i + 1]);
  }
  return {
    sizeM: points.length === 0 ? 0 : distanceM(minX, minY, maxX, maxY),
    with: ({ ax, ay, bx, by }) =>
      distanceM(Math.min(minX, ax, bx), Math.min(minY, ay, by), Math.max(maxX, ax, bx), Math.max(maxY, ay, by)),
  };
}
