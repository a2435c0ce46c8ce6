import Flatbush from 'flatbush';
import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import type { Chord } from './clearance-chords.ts';
import { ringAreaM2 } from './measure.ts';
import { polygonsFromRings, ringsOf } from './polygons.ts';
import { parameterOnSegment } from './segment.ts';

/** Points nearer than this to an edge or a corner lie on it: a diagonal of the 0.01 mm grid. */
const ON_EDGE_M = 1.5e-5;

/** An edge with its ground on the left and the points it is split at. */
type Edge = { readonly a: PlanePoint; readonly b: PlanePoint; readonly pins: { t: number; at: PlanePoint }[] };
type Edges = { readonly list: readonly Edge[]; readonly index: Flatbush };

/**
 * Cuts a polygon along chords that run inside from boundary point to boundary point and do not cross each other. The areas of the
 * parts add up to that of the polygon. Where the boundary touches itself (a hole at its outer ring, a pinched ring) the ground falls
 * apart too. Parts are ordered as `polygonsFromRings` orders them.
 *
 * A walk around a part keeps its ground on the left: at each corner it turns into the first edge clockwise from where it
 * came. A chord is two edges, one each way:
 *
 *      -->--+-->--        at + a walk from the left goes right; where the chord ends there, the walk up the chord goes left-hand on,
 *           |chord        and the one from the left turns down the chord
 */
export function cutPolygon(polygon: Polygon, chords: readonly Chord[]): Polygon[] {
  const edges = edgesOf(polygon);
  const ends = chords.map(({ p, q }) => ({ p: settle(edges, p), q: settle(edges, q) }));
  for (const { a } of edges.list) settle(edges, a);
  const walls = edges.list.flatMap(splitAtPins);
  const rings = walkRound(walls, ends).filter((ring) => Math.abs(ringAreaM2(ring)) > 1e-9);
  return polygonsFromRings(rings);
}

function edgesOf(polygon: Polygon): Edges {
  const list: Edge[] = [];
  for (const ring of ringsOf([polygon])) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      if (ring[i] === ring[j] && ring[i + 1] === ring[j + 1]) continue;
      list.push({ a: { x: ring[i], y: ring[i + 1] }, b: { x: ring[j], y: ring[j + 1] }, pins: [] });
    }
  }
  const index = new Flatbush(Math.max(1, list.length));
  if (list.length === 0) index.add(0, 0, 0, 0);
  for (const { a, b } of list)
    index.add(Math.min(a.x, b.x), Math.min(a.y, b.y), Math.max(a.x, b.x), Math.max(a.y, b.y));
  index.finish();
  return { list, index };
}

/** The corner that a boundary point is: an existing one, or a new pin. All edges that pass within tolerance are split there. */
function settle({ list, index }: Edges, point: PlanePoint): PlanePoint {
  let at = point;
  const near = index
    .search(point.x - ON_EDGE_M, point.y - ON_EDGE_M, point.x + ON_EDGE_M, point.y + ON_EDGE_M)
    .sort((a, b) => a - b);
  for (const k of near) {
    const stops = [list[k].a, list[k].b, ...list[k].pins.map((pin) => pin.at)];
    const corner = stops.find((stop) => isNear(stop, point));
    if (corner !== undefined) {
      at = corner;
      break;
    }
  }
  for (const k of near) {
    const { a, b, pins } = list[k];
    if ([a, b, ...pins.map((pin) => pin.at)].some((stop) => isSame(stop, at))) continue;
    const t = parameterOnSegment(at.x, at.y, a.x, a.y, b.x, b.y);
    if (isNear({ x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) }, at)) pins.push({ t, at });
  }
  return at;
}

function splitAtPins({ a, b, pins }: Edge): Chord[] {
  const stops = [a, ...pins.toSorted((one, two) => one.t - two.t).map((pin) => pin.at), b];
  return stops.slice(1).map((q, i) => ({ p: stops[i], q }));
}

/** All walks that keep their ground on the left, over boundary edges once and over chords once each way. */
function walkRound(walls: readonly Chord[], chords: readonly Chord[]): Ring[] {
  const cornerIds = new Map<string, number>();
  const corners: PlanePoint[] = [];
  const leaving: number[][] = [];
  const cornerOf = (at: PlanePoint): number => {
    const name = `${at.x} ${at.y}`;
    let id = cornerIds.get(name);
    if (id === undefined) {
      id = corners.push(at) - 1;
      cornerIds.set(name, id);
      leaving.push([]);
    }
    return id;
  };
  const starts: number[] = [];
  const ends: number[] = [];
  const add = (from: number, to: number): void => {
    if (from === to) return;
    leaving[from].push(starts.length);
    starts.push(from);
    ends.push(to);
  };
  for (const { p, q } of walls) add(cornerOf(p), cornerOf(q));
  for (const { p, q } of chords) {
    const from = cornerOf(p);
    const to = cornerOf(q);
    // A chord that two mouths share, or that an edge of the boundary runs along, is drawn once.
    if (leaving[from].some((edge) => ends[edge] === to) || leaving[to].some((edge) => ends[edge] === from)) continue;
    add(from, to);
    add(to, from);
  }
  const isUsed = new Uint8Array(starts.length);
  const rings: Ring[] = [];
  for (let first = 0; first < starts.length; first++) {
    const ring: number[] = [];
    for (let edge = first; isUsed[edge] === 0; edge = nextEdge(corners, leaving, starts, ends, edge)) {
      isUsed[edge] = 1;
      ring.push(corners[starts[edge]].x, corners[starts[edge]].y);
    }
    if (ring.length >= 6) rings.push(Float64Array.from(ring));
  }
  return rings;
}

/** The first edge clockwise from the way back; the way back itself only where no other leaves. */
function nextEdge(
  corners: readonly PlanePoint[],
  leaving: readonly (readonly number[])[],
  starts: readonly number[],
  ends: readonly number[],
  edge: number,
): number {
  const onward = leaving[ends[edge]];
  if (onward.length === 1) return onward[0];
  const here = corners[ends[edge]];
  const back = turn(here, corners[starts[edge]]);
  let best = edge;
  let bestTurn = Number.POSITIVE_INFINITY;
  for (const candidate of onward) {
    const clockwise = back - turn(here, corners[ends[candidate]]);
    const quarters = clockwise > 0 ? clockwise : clockwise + 4;
    if (quarters < bestTurn) {
      best = candidate;
      bestTurn = quarters;
    }
  }
  return best;
}

/** Direction from a to b as a number that grows anticlockwise from 0 to 4 (no trigonometry: the same bits everywhere). */
function turn(a: PlanePoint, b: PlanePoint): number {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const slant = dx / (Math.abs(dx) + Math.abs(dy));
  return dy >= 0 ? 1 - slant : 3 + slant;
}

function isSame(a: PlanePoint, b: PlanePoint): boolean {
  return a.x === b.x && a.y === b.y;
}

function isNear(a: PlanePoint, b: PlanePoint): boolean {
  return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y) <= ON_EDGE_M * ON_EDGE_M;
}
