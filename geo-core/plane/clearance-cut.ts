import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { footOn, type WallPoint, type Walls } from './clearance-walls.ts';
import { ringAreaM2 } from './measure.ts';
import { polygonsFromRings, ringsOf, startAtLowestLeft } from './polygons.ts';

/** A straight line inside from boundary point to boundary point. */
export type Chord = { readonly p: WallPoint; readonly q: WallPoint };

export type CutPolygon = {
  /** In the order of `polygonsFromRings`. */
  readonly parts: readonly Polygon[];
  /** Indices of the parts on the left and on the right of each chord (from p to q); -1 where there is no ground to speak of. */
  readonly leftOf: Int32Array;
  readonly rightOf: Int32Array;
  /** The earlier chord with the same two ends, -1 for none. */
  readonly sameAs: Int32Array;
};

/** Points nearer than this to a wall or a corner lie on it: a diagonal of the 0.01 mm grid. */
const ON_WALL_M = 1.5e-5;
const NO_GROUND_M2 = 1e-9;

/** Where a boundary touches itself. */
export type Touches = {
  /** Of each corner the first one at the same place, -1 for none before it. */
  readonly same: Int32Array;
  /** Corners that lie on a segment. */
  readonly onWall: readonly (readonly [corner: number, segment: number])[];
};

/** The net of walls and chords: corners, and edges from corner to corner with their ground on the left. */
type Net = {
  readonly x: number[];
  readonly y: number[];
  readonly from: number[];
  readonly to: number[];
  /** Edges leaving each corner. */
  readonly leaving: number[][];
};

/**
 * Cuts the ground inside the walls along chords that do not cross each other. The areas of the parts add up to that of the
 * polygon. Where the boundary touches itself (a hole at its outer ring, a pinched ring) the ground falls apart too.
 *
 * A walk around a part keeps its ground on the left: at each corner it turns into the first edge clockwise from where it
 * came. A chord is two edges, one each way:
 *
 *      -->--+-->--        at + a walk from the left goes right; where the chord ends there, the walk up the chord goes left-hand on,
 *           |chord        and the one from the left turns down the chord
 */
export function cutPolygon(walls: Walls, chords: readonly Chord[], touches = findTouches(walls)): CutPolygon {
  const net: Net = { x: [], y: [], from: [], to: [], leaving: [] };
  const ends = layWalls(walls, chords, touches, net);
  const there = new Int32Array(chords.length);
  const back = new Int32Array(chords.length);
  const sameAs = new Int32Array(chords.length).fill(-1);
  const chordOf = new Map<number, number>();
  const known = (one: number, two: number): number => net.leaving[one].find((edge) => net.to[edge] === two) ?? -1;
  chords.forEach((_, k) => {
    const [one, two] = [ends[2 * k], ends[2 * k + 1]];
    // A chord that two mouths share, or that runs along the boundary, is drawn once.
    const isNew = one !== two && known(one, two) < 0 && known(two, one) < 0;
    there[k] = isNew ? addEdge(net, one, two) : known(one, two);
    back[k] = isNew ? addEdge(net, two, one) : known(two, one);
    if (!isNew) sameAs[k] = chordOf.get(there[k]) ?? -1;
    else for (const edge of [there[k], back[k]]) chordOf.set(edge, k);
  });
  const { rings, ringOf } = walkRound(net);
  const parts = polygonsFromRings(rings.filter((ring) => Math.abs(ringAreaM2(ring)) > NO_GROUND_M2));
  const partOf = new Map<Ring, number>(parts.flatMap((part, i) => ringsOf([part]).map((ring) => [ring, i] as const)));
  const sideOf = (edge: number): number => (edge < 0 ? -1 : (partOf.get(rings[ringOf[edge]]) ?? -1));
  return { parts, leftOf: there.map(sideOf), rightOf: back.map(sideOf), sameAs };
}

export function findTouches(walls: Walls): Touches {
  const { segments: s, count, next } = walls;
  const same = new Int32Array(count).fill(-1);
  const onWall: (readonly [number, number])[] = [];
  for (let i = 0; i < count; i++) {
    const [x, y] = [s[4 * i], s[4 * i + 1]];
    walls.index.search(x - ON_WALL_M, y - ON_WALL_M, x + ON_WALL_M, y + ON_WALL_M, (k) => {
      if (k === i || next[k] === i || footOn(walls, k, x, y).distanceM > ON_WALL_M) return false;
      const end = isNear(x, y, s[4 * k], s[4 * k + 1]) ? k : isNear(x, y, s[4 * k + 2], s[4 * k + 3]) ? next[k] : -1;
      if (end < 0) onWall.push([i, k]);
      else if (end < i && (same[i] < 0 || end < same[i])) same[i] = end;
      return false;
    });
  }
  return { same, onWall };
}

/** Walls as edges, split where chords end and where other corners touch them. Returns the corners p, q of every chord. */
function layWalls(walls: Walls, chords: readonly Chord[], touches: Touches, net: Net): Int32Array {
  const { segments: s, count, next, lengthM } = walls;
  const pins: { t: number; corner: number }[][] = Array.from({ length: count }, () => []);
  const newCorner = (x: number, y: number): number => {
    net.leaving.push([]);
    net.y.push(y);
    return net.x.push(x) - 1;
  };
  const cornerOf = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    cornerOf[i] = touches.same[i] < 0 ? newCorner(s[4 * i], s[4 * i + 1]) : cornerOf[touches.same[i]];
  }
  const pin = (x: number, y: number, segment: number, corner?: number): number => {
    const present = pins[segment].find((one) => isNear(net.x[one.corner], net.y[one.corner], x, y));
    if (present !== undefined) return present.corner;
    const t = (x - s[4 * segment]) * walls.ux[segment] + (y - s[4 * segment + 1]) * walls.uy[segment];
    const at = corner ?? newCorner(x, y);
    if (t > 0 && t < lengthM[segment]) pins[segment].push({ t, corner: at });
    return at;
  };
  for (const [i, segment] of touches.onWall) pin(s[4 * i], s[4 * i + 1], segment, cornerOf[i]);
  const endCorner = ({ x, y, segment }: WallPoint): number => {
    if (isNear(x, y, s[4 * segment], s[4 * segment + 1])) return cornerOf[segment];
    if (isNear(x, y, s[4 * segment + 2], s[4 * segment + 3])) return cornerOf[next[segment]];
    return pin(x, y, segment);
  };
  const ends = Int32Array.from(chords.flatMap(({ p, q }) => [endCorner(p), endCorner(q)]));
  for (let i = 0; i < count; i++) {
    let at = cornerOf[i];
    if (pins[i].length > 1) pins[i].sort((a, b) => a.t - b.t);
    for (const { corner } of pins[i]) at = linkWall(net, at, corner);
    linkWall(net, at, cornerOf[next[i]]);
  }
  return ends;
}

function linkWall(net: Net, from: number, to: number): number {
  if (from !== to) addEdge(net, from, to);
  return to;
}

function addEdge({ from, to, leaving }: Net, start: number, end: number): number {
  const edge = from.push(start) - 1;
  to.push(end);
  leaving[start].push(edge);
  return edge;
}

/** All walks that keep their ground on the left, over boundary edges once and over chords once each way; the rings start lowest left. */
function walkRound(net: Net): { rings: Ring[]; ringOf: Int32Array } {
  const { x, y, from } = net;
  const ringOf = new Int32Array(from.length).fill(-1);
  const rings: Ring[] = [];
  for (let first = 0; first < from.length; first++) {
    if (ringOf[first] >= 0) continue;
    const corners: number[] = [];
    for (let edge = first; ringOf[edge] < 0; edge = nextEdge(net, edge)) {
      ringOf[edge] = rings.length;
      corners.push(from[edge]);
    }
    const ring = new Float64Array(2 * corners.length);
    for (let k = 0; k < corners.length; k++) {
      ring[2 * k] = x[corners[k]];
      ring[2 * k + 1] = y[corners[k]];
    }
    rings.push(startAtLowestLeft(ring));
  }
  return { rings, ringOf };
}

/** The first edge clockwise from the way back; the way back itself only where no other leaves. */
function nextEdge({ x, y, from, to, leaving }: Net, edge: number): number {
  const here = to[edge];
  const onward = leaving[here];
  if (onward.length === 1) return onward[0];
  const back = turn(x[from[edge]] - x[here], y[from[edge]] - y[here]);
  let best = edge;
  let bestTurn = Number.POSITIVE_INFINITY;
  for (const candidate of onward) {
    const clockwise = back - turn(x[to[candidate]] - x[here], y[to[candidate]] - y[here]);
    const quarters = clockwise > 0 ? clockwise : clockwise + 4;
    if (quarters < bestTurn) {
      best = candidate;
      bestTurn = quarters;
    }
  }
  return best;
}

/** A direction as a number that grows anticlockwise from 0 to 4 (no trigonometry: the same bits everywhere). */
function turn(dx: number, dy: number): number {
  const slant = dx / (Math.abs(dx) + Math.abs(dy));
  return dy >= 0 ? 1 - slant : 3 + slant;
}

function isNear(ax: number, ay: number, bx: number, by: number): boolean {
  return (ax - bx) * (ax - bx) + (ay - by) * (ay - by) <= ON_WALL_M * ON_WALL_M;
}
