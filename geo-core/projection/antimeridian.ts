import { type LonLat, lonLat } from '#geo-core/model/position.ts';
import { longitudeDifferenceDeg, normalLongitudeDeg } from './longitude.ts';

/**
 * RFC 7946, 3.1.9: geometry that crosses the antimeridian is cut there, so that no part of it does. One side ends at
 * longitude 180, the other starts at -180; the crossing point lies on the straight line in longitude and latitude.
 * Not for rings round a pole.
 */

/** A line -> its parts in order, each within one side. A line that does not cross comes back as it is, one part. */
export function cutLineAtAntimeridian(line: readonly LonLat[]): LonLat[][] {
  const unrolled = unroll(line);
  const parts: LonLat[][] = [];
  let part: LonLat[] = [];
  let sheet = 0;
  unrolled.forEach((point, index) => {
    const previous = unrolled[index - 1];
    // A line that ends or touches on the cut stays on the sheet that it comes from.
    const next = isOnSheet(point.x, sheet) ? sheet : sheetOf(point.x);
    if (previous !== undefined && next !== sheet) {
      const cut = 180 + 360 * Math.min(sheet, next);
      const y = latitudeAt(previous, point, cut);
      part.push(fold({ x: cut, y }, sheet));
      parts.push(withoutRepeats(part));
      part = [fold({ x: cut, y }, next)];
    }
    sheet = next;
    part.push(fold(point, sheet));
  });
  parts.push(withoutRepeats(part));
  return parts.filter((positions) => positions.length > 1 || line.length === 1);
}

/**
 * Polygon rings (outer counter-clockwise first, then holes clockwise; first position not repeated) -> polygons of the same form,
 * none crossing the antimeridian, ring directions kept. Edges along the cut close the parts.
 */
export function cutPolygonAtAntimeridian(rings: readonly (readonly LonLat[])[]): LonLat[][][] {
  if (rings.length === 0) return [];
  const outer = unroll(rings[0]);
  const longitudes = outer.map((point) => point.x);
  const last = sheetOf(Math.max(...longitudes));
  let sheet = sheetOf(Math.min(...longitudes));
  let rest: Point[][] = [outer, ...rings.slice(1).map((ring) => unroll(ring, outer[0].x))];
  const polygons: LonLat[][][] = [];
  for (; sheet < last; sheet++) {
    const cut = 180 + 360 * sheet;
    for (const polygon of half(rest, cut, -1)) polygons.push(polygon.map((ring) => foldRing(ring, sheet)));
    rest = half(rest, cut, 1).flat();
  }
  for (const polygon of gather(rest)) polygons.push(polygon.map((ring) => foldRing(ring, last)));
  return polygons;
}

type Point = { readonly x: number; readonly y: number };

/** Longitudes running on over 180 degrees, so that neighbours differ by less than half a turn. */
function unroll(line: readonly LonLat[], nearDeg?: number): Point[] {
  let x = nearDeg ?? normalLongitudeDeg(line[0]?.[0] ?? 0);
  return line.map(([lonDeg, latDeg]) => {
    x += longitudeDifferenceDeg(lonDeg, x);
    return { x, y: latDeg };
  });
}

/** Sheet 0 holds longitudes (-180, 180], sheet 1 the turn east of it, and so on. */
function sheetOf(x: number): number {
  return Math.ceil((x - 180) / 360);
}

function isOnSheet(x: number, sheet: number): boolean {
  return Math.abs(x - 360 * sheet) <= 180;
}

function fold({ x, y }: Point, sheet: number): LonLat {
  return lonLat(x - 360 * sheet, y);
}

function foldRing(ring: readonly Point[], sheet: number): LonLat[] {
  return ring.map((point) => fold(point, sheet));
}

function latitudeAt(a: Point, b: Point, x: number): number {
  if (x === a.x) return a.y;
  if (x === b.x) return b.y;
  return a.y + ((b.y - a.y) * (x - a.x)) / (b.x - a.x);
}

function withoutRepeats(line: readonly LonLat[]): LonLat[] {
  return line.filter(([x, y], index) => index === 0 || x !== line[index - 1][0] || y !== line[index - 1][1]);
}

/** A stretch of ring on one side of the cut, from where it comes in to where it goes out. */
type Chain = { readonly points: readonly Point[]; readonly entryY: number; readonly exitY: number };

/** The polygons that rings leave on one side of the meridian `cut`: west of it (side -1) or east (side 1). */
function half(rings: readonly (readonly Point[])[], cut: number, side: -1 | 1): Point[][][] {
  const whole: Point[][] = [];
  const chains: Chain[] = [];
  for (const ring of rings) {
    const inside = ring.map(({ x }) => (side === 1 ? x >= cut : x < cut));
    if (inside.every(Boolean)) whole.push([...ring]);
    else chains.push(...chainsOf(ring, inside, cut));
  }
  return gather([...whole, ...joinAlongCut(chains, cut, side)]);
}

function chainsOf(ring: readonly Point[], inside: readonly boolean[], cut: number): Chain[] {
  const chains: Chain[] = [];
  const count = ring.length;
  for (let start = 0; start < count; start++) {
    const before = (start + count - 1) % count;
    if (!inside[start] || inside[before]) continue;
    const points: Point[] = [];
    let at = start;
    for (; inside[at]; at = (at + 1) % count) points.push(ring[at]);
    chains.push({
      points,
      entryY: latitudeAt(ring[before], ring[start], cut),
      exitY: latitudeAt(ring[(at + count - 1) % count], ring[at], cut),
    });
  }
  return chains;
}

/**
 * Crossings of the cut, sorted by latitude, bound ground pair by pair: each chain goes on at the partner of its exit. With ground
 * on the left, the west half is closed northwards (exit below entry), the east half southwards.
 */
function joinAlongCut(chains: readonly Chain[], cut: number, side: -1 | 1): Point[][] {
  const crossings = chains
    .flatMap((chain, index) => [
      { y: chain.entryY, index, isEntry: true },
      { y: chain.exitY, index, isEntry: false },
    ])
    .toSorted((a, b) => a.y - b.y);
  const following = new Map<number, number>();
  for (let i = 0; i + 1 < crossings.length; i += 2) {
    const isLowerEntry = side === 1;
    // Where a corner just touches the cut, an entry and an exit share one latitude in either order.
    if (crossings[i].isEntry !== isLowerEntry && crossings[i + 1].y === crossings[i].y) {
      crossings.splice(i, 2, crossings[i + 1], crossings[i]);
    }
    const [lower, upper] = [crossings[i], crossings[i + 1]];
    if (isLowerEntry) following.set(upper.index, lower.index);
    else following.set(lower.index, upper.index);
  }
  const rings: Point[][] = [];
  const used = new Set<number>();
  for (let first = 0; first < chains.length; first++) {
    const ring: Point[] = [];
    let index: number | undefined = first;
    while (index !== undefined && !used.has(index)) {
      used.add(index);
      const chain: Chain = chains[index];
      ring.push({ x: cut, y: chain.entryY }, ...chain.points, { x: cut, y: chain.exitY });
      index = following.get(index);
    }
    const clean = ring.filter((point, i) => {
      const previous = ring[(i + ring.length - 1) % ring.length];
      return point.x !== previous.x || point.y !== previous.y;
    });
    if (clean.length >= 3 && signedArea(clean) !== 0) rings.push(clean);
  }
  return rings;
}

/**
 * Clean rings -> polygons: counter-clockwise rings are outer ones, each clockwise ring goes to the outer ring around it, which is
 * the one around most of its vertices: a hole may touch its outer ring in some of them.
 */
function gather(rings: readonly (readonly Point[])[]): Point[][][] {
  const polygons = rings.filter((ring) => signedArea(ring) > 0).map((ring) => [[...ring]]);
  for (const hole of rings.filter((ring) => signedArea(ring) < 0)) {
    const heldBy = ([outer]: readonly (readonly Point[])[]): number =>
      hole.filter((point) => holds(outer, point)).length;
    const [home] = polygons.map((polygon) => ({ polygon, held: heldBy(polygon) })).toSorted((a, b) => b.held - a.held);
    home?.polygon.push([...hole]);
  }
  return polygons;
}

function signedArea(ring: readonly Point[]): number {
  const origin = ring[0];
  let twice = 0;
  for (let i = 1; i + 1 < ring.length; i++) {
    twice += (ring[i].x - origin.x) * (ring[i + 1].y - origin.y) - (ring[i + 1].x - origin.x) * (ring[i].y - origin.y);
  }
  return twice / 2;
}

/** Even-odd point in ring, degrees. */
function holds(ring: readonly Point[], { x, y }: Point): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const a = ring[i];
    const b = ring[j];
    if (a.y > y !== b.y > y && x < ((b.x - a.x) * (y - a.y)) / (b.y - a.y) + a.x) inside = !inside;
  }
  return inside;
}
