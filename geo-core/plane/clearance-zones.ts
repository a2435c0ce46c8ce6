import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import { centreLine, type NarrowWay } from './centre-line.ts';
import { type CutPolygon, cutPolygon, findTouches } from './clearance-cut.ts';
import { findMouths, type Mouth, NOOK_RADII } from './clearance-mouths.ts';
import { findStraits, type Strait } from './clearance-straits.ts';
import { isClear, raiseWalls, type Walls } from './clearance-walls.ts';
import { type DisjointSets, disjointSets } from './disjoint-sets.ts';
import { distanceM, polygonAreaM2 } from './measure.ts';
import { pointInPolygon, ringsOf } from './polygons.ts';
import { comparePlaces, widestAnywhere, widestInPart, widestInside } from './widest-circle.ts';
import { type Place, widestPlace } from './widest-place.ts';

export type ClearanceWidths = {
  readonly mowWidthM: number;
  /** Ways at least so wide get a centre line. */
  readonly driveWidthM: number;
};

/**
 * A way between two full circles of the mowing width: its clear width between the true walls at its narrowest place (exact), the two
 * wall points that come that near and the centres of the last full circle on either side.
 */
export type Way = NarrowWay & {
  /** Indices into `zones`; the same twice for a way round a hole that leads back to its own zone. */
  readonly between: readonly [number, number];
  /** A further way (round a hole) between zones that a wider way joins already, directly or over others. */
  readonly isAlternative: boolean;
  /** From end to end in the order of `between`, for ways of the driving width. */
  readonly centreLine?: Polyline;
};

/** One polygon parted into ground that is mown throughout (with its corners) and the rest (corridors, tails). */
export type ClearanceZones = {
  /** Widest first. */
  readonly zones: readonly { readonly widest: Place; readonly polygons: readonly Polygon[]; readonly areaM2: number }[];
  readonly rest: readonly Polygon[];
  /** All ways narrower than the mowing width, widest first. */
  readonly ways: readonly Way[];
  /** The widest circle at all, also where no zone is; undefined for an empty polygon. */
  readonly widest?: Place;
};

/** On the safe side of rounding, far below what can be pegged. */
const WIDTH_SLACK_M = 1e-6;
/** Walls at so small an angle are parallel: what rounding may turn them. */
const PARALLEL_SINE = 1e-9;

/**
 * Where a polygon with holes is at least `mowWidthM` wide, which ways join such ground, and how wide they are. Any polygon, touching
 * rings and needles included; never throws. Exact, and about n log n in the number of vertices.
 *
 *   1  mouths (clearance-mouths.ts): clear circles of the mowing width that touch two walls. None: all is one zone.
 *   2  straits (clearance-straits.ts): locally narrowest places. Chords of mouths and straits never cross each other: their circles
 *      are clear. Cut along all of them: no part holds a saddle of the clearance, so none holds two zones.
 *   3  straits join parts: what a mouth leads out of is a zone; what it leads into is a nook, a tail or a corridor
 *   4  straits again, widest first (Kruskal's rule), carry each mouth's basin on; where two basins meet is the narrowest
 *      place of the way between them. Basins stay apart afterwards, so that a further way round a hole shows up as an alternative.
 *   5  cut again, along the mouths of tails and corridors only
 */
export function clearanceZones(polygon: Polygon, { mowWidthM, driveWidthM }: ClearanceWidths): ClearanceZones {
  const walls = raiseWalls(polygon);
  if (walls === undefined) return { zones: [], rest: [polygon], ways: [] };
  const radiusM = mowWidthM / 2 - WIDTH_SLACK_M;
  const mouths = findMouths(walls, radiusM);
  if (mouths.length > 0) return partGround(walls, mouths, radiusM, driveWidthM);
  const widest = widestInside(walls, radiusM);
  if (widest !== undefined) {
    return { zones: [{ widest, polygons: [polygon], areaM2: polygonAreaM2(polygon) }], rest: [], ways: [], widest };
  }
  const anywhere = widestAnywhere(walls, polygon);
  return { zones: [], rest: [polygon], ways: [], ...(anywhere && { widest: anywhere }) };
}

/** A cut polygon with as many parts more as chords of mouths are straits as well. */
type PartedGround = CutPolygon & { readonly partCount: number };

/**
 * A strait may be the chord of a mouth too, where a corridor ends at two corners. It lies beyond the mouth: between the two is a part
 * without area, with a number of its own. Straits drawn twice count once.
 */
function withoutShared({ parts, leftOf, rightOf, sameAs }: CutPolygon, mouthCount: number): PartedGround {
  const [left, right] = [Int32Array.from(leftOf), Int32Array.from(rightOf)];
  let partCount = parts.length;
  const done = new Set<number>();
  for (let strait = mouthCount; strait < sameAs.length; strait++) {
    const first = sameAs[strait];
    if (first < 0) continue;
    left[strait] = -1;
    right[strait] = -1;
    if (first >= mouthCount || done.has(first)) continue;
    done.add(first);
    const opposite = sameAs.indexOf(first);
    left[strait] = partCount;
    right[strait] = right[first];
    right[first] = partCount++;
    if (opposite >= mouthCount) continue;
    // Two mouths, back to back.
    right[opposite] = partCount;
    right[strait] = partCount++;
  }
  return { parts, leftOf: left, rightOf: right, sameAs, partCount };
}

/** Parts cut along all mouths and straits; `ground` joins them across the straits. */
type Net = {
  readonly mouths: readonly Mouth[];
  readonly straits: readonly Strait[];
  /** Chords: the mouths, then the straits. A mouth leads from the part on its left into the one on its right. */
  readonly cut: PartedGround;
  readonly ground: DisjointSets;
  /** 1 for roots of `ground` that hold a full circle. */
  readonly isZone: Uint8Array;
};

function partGround(walls: Walls, mouths: readonly Mouth[], radiusM: number, driveWidthM: number): ClearanceZones {
  // A way has two mouths.
  const straits = mouths.length > 1 ? findStraits(walls, 2 * radiusM) : [];
  const touches = findTouches(walls);
  const cut = withoutShared(cutPolygon(walls, [...mouths, ...straits], touches), mouths.length);
  const ground = disjointSets(cut.partCount);
  straits.forEach((_, k) => {
    const [one, two] = [cut.leftOf[mouths.length + k], cut.rightOf[mouths.length + k]];
    if (one >= 0 && two >= 0) ground.join(one, two);
  });
  const isZone = new Uint8Array(cut.partCount);
  for (let k = 0; k < mouths.length; k++) if (cut.leftOf[k] >= 0) isZone[ground.find(cut.leftOf[k])] = 1;
  const net = { mouths, straits, cut, ground, isZone };
  const meetings = meetBasins(walls, net);
  const isKept = keptMouths(net, meetings, radiusM);
  const kept = mouths.filter((_, k) => isKept[k] === 1);
  const { parts, leftOf, rightOf } = cutPolygon(walls, kept, touches);
  const isOutside = new Uint8Array(parts.length);
  kept.forEach((_, k) => {
    if (rightOf[k] >= 0) isOutside[rightOf[k]] = 1;
  });
  kept.forEach((_, k) => {
    if (leftOf[k] >= 0) isOutside[leftOf[k]] = 0;
  });
  const inside = parts.filter((_, i) => isOutside[i] === 0);
  const found = inside.flatMap((part) => {
    const whole = parts.length === 1 ? widestInside(walls, radiusM) : widestInPart(walls, part, radiusM);
    const place = whole ?? climbFromMouth(walls, part, mouths);
    return place === undefined ? [] : [{ part, place }];
  });
  found.sort((a, b) => comparePlaces(a.place, b.place));
  const zones = found.map(({ part, place }) => ({ widest: place, polygons: [part], areaM2: polygonAreaM2(part) }));
  const rest = parts.filter((part) => !found.some((zone) => zone.part === part));
  const corridorOf = new Map(kept.map((mouth, k) => [mouth, parts[rightOf[k]]]));
  const ways = namedWays(net, zones, meetings).flatMap(({ start, ...way }) => {
    const corridor = corridorOf.get(start);
    if (corridor === undefined) return [];
    return [way.widthM < driveWidthM - WIDTH_SLACK_M ? way : { ...way, centreLine: centreLine(walls, corridor, way) }];
  });
  return { zones, rest, ways, ...(found.length > 0 && { widest: found[0].place }) };
}

/** From a full circle at a mouth of the part, where no peak of the part was found. */
function climbFromMouth(walls: Walls, part: Polygon, mouths: readonly Mouth[]): Place | undefined {
  const start = mouths.find(({ at }) => pointInPolygon(part, at.x, at.y))?.at;
  return start && widestPlace(walls, start, 1);
}

/**
 * Ground outside the zones hangs together in pieces. A piece that touches two zones, or holds a way round a hole that is farther than
 * the mowing width beyond the last full circles at its ends, is a corridor; one that reaches so far is a tail; both are
 * cut off at all their mouths. What is left are corners (down to 39 degrees) and nooks: they stay with their zone.
 */
function keptMouths({ mouths, cut, ground, isZone }: Net, meetings: readonly Meeting[], radiusM: number): Uint8Array {
  const farM = NOOK_RADII * radiusM;
  const isCut = new Uint8Array(cut.partCount);
  for (const { one, two, strait } of meetings) {
    const [start, end] = [mouths[one].at, mouths[two].at];
    const isLong = distanceM(start.x, start.y, end.x, end.y) + strait.widthM > 2 * farM;
    if (isLong || ground.find(cut.leftOf[one]) !== ground.find(cut.leftOf[two]))
      isCut[ground.find(cut.rightOf[one])] = 1;
  }
  const entries = new Map<number, number[]>();
  mouths.forEach((_, k) => {
    if (cut.leftOf[k] < 0 || cut.rightOf[k] < 0) return;
    const piece = ground.find(cut.rightOf[k]);
    if (isZone[piece] === 1) return;
    const list = entries.get(piece);
    if (list === undefined) entries.set(piece, [k]);
    else list.push(k);
  });
  const partsOf = new Map<number, Polygon[]>([...entries.keys()].map((piece) => [piece, []]));
  cut.parts.forEach((part, i) => {
    partsOf.get(ground.find(i))?.push(part);
  });
  const isKept = new Uint8Array(mouths.length);
  for (const [piece, at] of entries) {
    const circles = at.map((k) => mouths[k].at);
    if (isCut[piece] === 1 || reachesBeyond(partsOf.get(piece) ?? [], circles, farM)) for (const k of at) isKept[k] = 1;
  }
  return isKept;
}

/** Whether some of the boundary lies farther than `reachM` from all centres: the circles of that radius leave some edge uncovered. */
function reachesBeyond(parts: readonly Polygon[], centres: readonly PlanePoint[], reachM: number): boolean {
  return ringsOf(parts).some((ring) => {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      const dx = ring[j] - ring[i];
      const dy = ring[j + 1] - ring[i + 1];
      const squared = dx * dx + dy * dy;
      const covered: [from: number, to: number][] = [];
      for (const { x, y } of centres) {
        const [fx, fy] = [x - ring[i], y - ring[i + 1]];
        const middle = (fx * dx + fy * dy) / squared;
        const half = middle * middle - (fx * fx + fy * fy - reachM * reachM) / squared;
        if (half >= 0) covered.push([middle - Math.sqrt(half), middle + Math.sqrt(half)]);
      }
      let upTo = 0;
      for (const [from, to] of covered.sort((a, b) => a[0] - b[0])) if (from <= upTo) upTo = Math.max(upTo, to);
      if (upTo < 1) return true;
    }
    return false;
  });
}

/** The basins of two mouths (indices) meet at a strait. */
type Meeting = { readonly one: number; readonly two: number; readonly strait: Strait };

/** Kruskal's rule over the straits, widest first: basins grow from the mouths, and a way runs where two of them meet. */
function meetBasins(walls: Walls, { mouths, straits, cut, ground, isZone }: Net): Meeting[] {
  const sets = disjointSets(cut.partCount);
  const basinOf = new Int32Array(cut.partCount).fill(-1);
  const meetings: Meeting[] = [];
  mouths.forEach(({ p, q }, k) => {
    const part = cut.rightOf[k];
    if (part < 0 || cut.leftOf[k] < 0 || isZone[ground.find(part)] === 1) return;
    if (basinOf[part] < 0) basinOf[part] = k;
    // Between two mouths there is always a strait; where rounding hides it, the chord of the mouth stands for it.
    else meetings.push({ one: basinOf[part], two: k, strait: { p, q, widthM: distanceM(p.x, p.y, q.x, q.y) } });
  });
  straits.forEach((strait, k) => {
    const [left, right] = [cut.leftOf[mouths.length + k], cut.rightOf[mouths.length + k]];
    if (left < 0 || right < 0 || isZone[ground.find(left)] === 1) return;
    const [from, to] = [sets.find(left), sets.find(right)];
    if (from === to) return;
    const [one, two] = [basinOf[from], basinOf[to]];
    if (one >= 0 && two >= 0) meetings.push({ one, two, strait: centred(walls, strait) });
    else basinOf[sets.join(from, to)] = Math.max(one, two);
  });
  return meetings.sort((a, b) => b.strait.widthM - a.strait.widthM);
}

function namedWays(
  net: Net,
  zones: ClearanceZones['zones'],
  meetings: readonly Meeting[],
): (Way & { readonly start: Mouth })[] {
  const zoneOf = zoneNumbers(net, zones);
  const joined = disjointSets(zones.length);
  return meetings.flatMap(({ one, two, strait: { p, q, widthM } }) => {
    const between = [zoneOf[one], zoneOf[two]] as const;
    if (between[0] < 0 || between[1] < 0) return [];
    const isAlternative = joined.find(between[0]) === joined.find(between[1]);
    joined.join(between[0], between[1]);
    const touches = [
      { x: p.x, y: p.y },
      { x: q.x, y: q.y },
    ] as const;
    const ends = [net.mouths[one].at, net.mouths[two].at] as const;
    return [{ widthM, touches, between, isAlternative, ends, start: net.mouths[one] }];
  });
}

/** The number of the zone that each mouth leads out of; -1 for none. */
function zoneNumbers({ mouths, cut, ground }: Net, zones: ClearanceZones['zones']): Int32Array {
  const known = new Map<number, number>();
  return Int32Array.from(mouths, ({ at }, k) => {
    if (cut.leftOf[k] < 0) return -1;
    const root = ground.find(cut.leftOf[k]);
    const before = known.get(root);
    if (before !== undefined) return before;
    const zone = zones.length === 1 ? 0 : zones.findIndex(({ polygons: [part] }) => pointInPolygon(part, at.x, at.y));
    if (zone >= 0) known.set(root, zone);
    return zone;
  });
}

/** Between parallel walls every place is as narrow as the next: the middle of the stretch over which they face each other. */
function centred(walls: Walls, strait: Strait): Strait {
  const { p, q, widthM } = strait;
  const { segments: s, ux, uy, lengthM, previous } = walls;
  for (const i of [p.segment, previous[p.segment]]) {
    for (const j of [q.segment, previous[q.segment]]) {
      const isParallel = ux[i] * ux[j] + uy[i] * uy[j] < 0 && Math.abs(ux[i] * uy[j] - uy[i] * ux[j]) < PARALLEL_SINE;
      if (!isParallel) continue;
      const along = (k: number): number => (s[k] - p.x) * ux[i] + (s[k + 1] - p.y) * uy[i];
      const from = Math.max(along(4 * i), along(4 * j + 2));
      const to = Math.min(along(4 * i) + lengthM[i], along(4 * j));
      if (!(to > from) || Math.abs((q.x - p.x) * ux[i] + (q.y - p.y) * uy[i]) > PARALLEL_SINE * widthM) continue;
      const shift = (from + to) / 2;
      const move = (at: typeof p): typeof p => ({ ...at, x: at.x + shift * ux[i], y: at.y + shift * uy[i] });
      const moved = { p: move(p), q: move(q), widthM };
      if (isClear(walls, (moved.p.x + moved.q.x) / 2, (moved.p.y + moved.q.y) / 2, widthM / 2 - 1e-7)) return moved;
    }
  }
  return strait;
}
