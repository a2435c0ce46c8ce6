import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import type { PlaneFeature, PlaneSite } from '#geo-core/model/site.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';
import { chainsOf, type Piece } from '#geo-core/plane/chain.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointAt, type Segment } from '#geo-core/plane/nearest-between.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { parameterOnSegment } from '#geo-core/plane/segment.ts';
import { type Visibility, visibility } from '#geo-core/plane/visibility.ts';
import { wavefront } from '#geo-core/plane/wavefront.ts';

/** The shortest way of a supply cable to a place, from the nearest outlet. */
export type CableWay = { readonly line: Polyline; readonly lengthM: number };

/** Ground that a cable does not lie on. */
const CLOSED: readonly PlaneFeature['kind'][] = ['building', 'water', 'no-wire'];
/** How far the ground goes on beyond everything that is drawn, metres. */
const MARGIN_M = 20;

/** Where the outlets are; one given as a line or an area counts at its first vertex. */
export function outletsOf(site: PlaneSite): PlanePoint[] {
  return site.features.flatMap(({ kind, shape }): PlanePoint[] => {
    if (kind !== 'outlet') return [];
    if (shape.type === 'point') return [...shape.points];
    const lines = shape.type === 'line' ? shape.lines : shape.polygons.map(({ outer }) => outer);
    return lines.map((line) => ({ x: line[0], y: line[1] }));
  });
}

/**
 * The shortest cable from any outlet to every place, round buildings, water and ground where nothing may be laid; an outlet
 * in a wall begins at the face of the wall. Places farther than `withinM` of cable, or that no way leads to, are left out.
 */
export function cableWays(site: PlaneSite, places: readonly PlanePoint[], withinM: number): Map<number, CableWay> {
  const outlets = outletsOf(site);
  const ways = new Map<number, CableWay>();
  if (outlets.length === 0 || places.length === 0) return ways;
  const open = openGround(site, [...outlets, ...places]);
  const ground = visibility(open, []);
  const edges = ringSegments(ringsOf(open));
  const front = wavefront(ground, chainsOf(places.map((at, index) => pointPiece(String(index), at, 0))));
  const begins = outlets.map((at, index) => {
    const begin = faceOf(ground, edges, at);
    return pointPiece(String(index), begin, distanceM(at.x, at.y, begin.x, begin.y));
  });
  for (const chain of chainsOf(begins)) front.spread(chain);
  for (let reached = front.reach(withinM); reached !== undefined; reached = front.reach(withinM)) {
    const outlet = outlets[Number(reached.from.owner)];
    const inWall = reached.from.costM > 0;
    const line = inWall ? Float64Array.from([outlet.x, outlet.y, ...reached.line]) : reached.line;
    ways.set(Number(reached.to.owner), { line, lengthM: reached.from.costM + reached.lengthM });
  }
  return ways;
}

function pointPiece(owner: string, { x, y }: PlanePoint, costM: number): Piece {
  return { owner, edge: 0, ax: x, ay: y, bx: x, by: y, costM };
}

function openGround(site: PlaneSite, points: readonly PlanePoint[]): Polygon[] {
  const closed = site.features.flatMap(({ kind, shape }) =>
    CLOSED.includes(kind) && shape.type === 'area' ? ringsOf(shape.polygons) : [],
  );
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  const see = (x: number, y: number): void => {
    [minX, minY, maxX, maxY] = [Math.min(minX, x), Math.min(minY, y), Math.max(maxX, x), Math.max(maxY, y)];
  };
  for (const { x, y } of points) see(x, y);
  for (const ring of closed) for (let i = 0; i < ring.length; i += 2) see(ring[i], ring[i + 1]);
  const [west, south] = [Math.floor(minX) - MARGIN_M, Math.floor(minY) - MARGIN_M];
  const [east, north] = [Math.ceil(maxX) + MARGIN_M, Math.ceil(maxY) + MARGIN_M];
  const all = Float64Array.of(west, south, east, south, east, north, west, north);
  if (closed.length === 0) return [{ outer: all, holes: [] }];
  return polygonsFromRings(kernel().difference([all], closed, site.gridM));
}

/** The point itself on open ground, else the nearest place at the edge of it. */
function faceOf(ground: Visibility, edges: Float64Array, at: PlanePoint): PlanePoint {
  if (ground.holds(at.x, at.y)) return at;
  let [face, leastM] = [at, Number.POSITIVE_INFINITY];
  for (let i = 0; i < edges.length; i += 4) {
    const edge: Segment = { ax: edges[i], ay: edges[i + 1], bx: edges[i + 2], by: edges[i + 3] };
    const [x, y] = pointAt(edge, parameterOnSegment(at.x, at.y, edge.ax, edge.ay, edge.bx, edge.by));
    const apartM = distanceM(at.x, at.y, x, y);
    if (apartM < leastM) [face, leastM] = [{ x, y }, apartM];
  }
  return face;
}
