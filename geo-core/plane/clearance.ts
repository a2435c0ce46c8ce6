import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import { type Chord, type Mouth, mouthBetween, slideToShortest } from './clearance-chords.ts';
import { type Link, type Skeleton, type SkeletonLimits, traceSkeleton } from './clearance-skeleton.ts';
import { clearanceM, raiseWalls, type Walls } from './clearance-walls.ts';
import { lineLengthM } from './measure.ts';
import { pointSegmentM } from './segment.ts';
import { type Place, widestPlace } from './widest-place.ts';

/*
 * Long because it is one algorithm, a merge tree, told from its widest places down to its narrowest ways.
 *
 *   1  circles and links of the ground (clearance-skeleton.ts)
 *   2  links at least `mowWidthM` wide join circles to zones; a zone needs one place that is truly so wide
 *   3  narrower links, widest first (Kruskal's rule), carry each zone's basin down; where two basins meet is the narrowest place of the
 *      way between them. Basins stay apart afterwards, so that a further way round a hole shows up as an alternative.
 *   4  mouths: where the ground outside the zones begins to be narrower than `mowWidthM`
 */

export type ClearanceOptions = {
  readonly mowWidthM: number;
  readonly driveWidthM: number;
  /** Spacing of the boundary samples in narrow ground; results hardly depend on it. */
  readonly sampleM?: number;
  /** Ways narrower than this are not followed; default half the driving width. */
  readonly followWidthM?: number;
};

/** The narrowest place of a way between two places of at least the mowing width. */
export type Bottleneck = {
  /** Clear width between the true walls, exact where the walls are straight or cornered (polygons are both). */
  readonly widthM: number;
  /** The two wall points that come that near. */
  readonly touches: readonly [PlanePoint, PlanePoint];
  /** From the last circle of the mowing width on one side to the first one on the other, in the order of `between`. */
  readonly centreLine: Polyline;
  readonly lengthM: number;
  /** Indices into `places`. */
  readonly between: readonly [number, number];
  /** A further way (round a hole) between places that a wider way joins already, directly or over others. */
  readonly isAlternative: boolean;
};

export type ClearanceGraph = {
  /** The widest circle of every part of the ground that is one at the mowing width; widest first. */
  readonly places: readonly Place[];
  /** All ways between two places that are narrower than the mowing width, widest first. */
  readonly bottlenecks: readonly Bottleneck[];
  /** Chords that part the ground of the places from corridors and from tails; they never cross each other. */
  readonly cuts: readonly Chord[];
  /** The widest circle at all, also where nothing is wide enough to mow; undefined for an empty polygon. */
  readonly widest?: Place;
  readonly sampleCount: number;
};

/** On the safe side of rounding, far below what can be pegged. */
const WIDTH_SLACK_M = 1e-6;
/** Circles are compared with the true walls up to this much wider than the mowing width, metres of half width. */
const EXACT_MARGIN_M = 0.1;
const LINE_TOLERANCE_M = 0.01;
/** Peaks of equal width (a long ridge) need not all be climbed: each climb follows its ridge. */
const MAX_CLIMBS = 12;

/**
 * Where a polygon with holes is at least `mowWidthM` wide, which ways join such ground, and how wide they are. Any polygon, touching
 * rings and needles included; never throws. Cost n log n in the number of boundary samples.
 */
export function clearanceGraph(polygon: Polygon, options: ClearanceOptions): ClearanceGraph {
  const walls = raiseWalls(polygon);
  if (walls === undefined) return { places: [], bottlenecks: [], cuts: [], sampleCount: 0 };
  const mowM = options.mowWidthM / 2 - WIDTH_SLACK_M;
  const limits = limitsOf(options);
  const skeleton = traceSkeleton(walls, limits);
  const sampleCount = skeleton.samples.length / 2;
  const { zoneOf, places } = findZones(walls, skeleton, mowM, limits.coarseM);
  if (places.length === 0) {
    const widest = widestAnywhere(walls, skeleton);
    return { places, bottlenecks: [], cuts: [], sampleCount, ...(widest && { widest }) };
  }
  const mouths = mouthFinder(walls, skeleton, zoneOf, mowM + WIDTH_SLACK_M);
  // The basin of a single zone has no other to meet.
  const meetings = places.length === 1 ? [] : meetBasins(skeleton, zoneOf, places.length);
  const bottlenecks = meetings.map((meeting) => describeBottleneck(walls, zoneOf, meeting, mouths, limits.windowM));
  const cuts = findCuts(skeleton, zoneOf, mouths, options.mowWidthM);
  return { places, bottlenecks, cuts, widest: places[0], sampleCount };
}

/**
 * Samples are less than twice the least followed half width apart, at most `sampleM` in ground about as narrow as the mowing width. Ways narrower
 * than half the driving width get samples of their own, only where walls are so near.
 */
function limitsOf({ mowWidthM, driveWidthM, sampleM = 0.15, followWidthM }: ClearanceOptions): SkeletonLimits {
  const usualM = Math.min(driveWidthM / 2, mowWidthM);
  const followM = Math.min(followWidthM ?? usualM, mowWidthM);
  const coarseM = 0.9 * usualM;
  const fineM = Math.min(sampleM, coarseM);
  const exactM = mowWidthM / 2 + EXACT_MARGIN_M;
  const tiers = [{ facingM: 2 * exactM, spacingM: fineM }];
  for (let widthM = usualM; widthM > followM; widthM /= 4) {
    tiers.push({ facingM: widthM, spacingM: Math.min(fineM, 0.2 * widthM) });
  }
  return { floorM: followM / 2, exactM, coarseM, tiers, windowM: 1.6 * fineM };
}

// --- zones -----------------------------------------------------------------------------------------------------------------------

type Zones = { readonly zoneOf: Int32Array; readonly places: readonly Place[] };

/** Joins circles over links of the mowing width; `zoneOf` is the index of the place of each circle, -1 outside the zones. */
function findZones(walls: Walls, skeleton: Skeleton, mowM: number, coarseM: number): Zones {
  const { radiusM, links } = skeleton;
  const sets = disjointSets(radiusM.length);
  const hasWider = new Uint8Array(radiusM.length);
  for (const { from, to, halfM } of links) {
    if (halfM >= mowM) sets.join(from, to);
    if (halfM < Math.min(radiusM[from], radiusM[to])) continue; // a saddle lies between: either end may be a peak
    if (radiusM[from] < radiusM[to]) hasWider[from] = 1;
    else if (radiusM[to] < radiusM[from]) hasWider[to] = 1;
  }
  const members = new Map<number, number[]>();
  for (let t = 0; t < radiusM.length; t++) {
    if (radiusM[t] < mowM) continue;
    const root = sets.find(t);
    const group = members.get(root);
    if (group === undefined) members.set(root, [t]);
    else group.push(t);
  }
  const found: { place: Place; group: number[] }[] = [];
  for (const group of members.values()) {
    const peaks = group.filter((t) => hasWider[t] === 0).sort((a, b) => radiusM[b] - radiusM[a] || a - b);
    const place = widestOf(walls, skeleton, peaks, mowM, coarseM) ?? wideEnoughOf(walls, skeleton, group, mowM);
    if (place !== undefined) found.push({ place, group });
  }
  found.sort((one, two) => comparePlaces(one.place, two.place));
  // Sampling may break ground of just the mowing width in two; both halves then climb to one and the same place.
  for (let i = found.length - 1; i > 0; i--) {
    if (!isSamePlace(found[i - 1].place, found[i].place)) continue;
    for (const t of found[i].group) found[i - 1].group.push(t);
    found.splice(i, 1);
  }
  const zoneOf = new Int32Array(radiusM.length).fill(-1);
  found.forEach(({ group }, zone) => {
    for (const t of group) zoneOf[t] = zone;
  });
  return { zoneOf, places: found.map(({ place }) => place) };
}

/** The widest circle reached from the peaks; undefined where none is of the mowing width and stays with its peak. */
function widestOf(
  walls: Walls,
  { x, y, radiusM }: Skeleton,
  peaks: readonly number[],
  mowM: number,
  coarseM: number,
): Place | undefined {
  let best: Place | undefined;
  for (const peak of peaks.slice(0, MAX_CLIMBS)) {
    if (best !== undefined && radiusM[peak] <= best.radiusM + 1e-9) break;
    const place = widestPlace(walls, { x: x[peak], y: y[peak] }, radiusM[peak]);
    if (place.radiusM < mowM || (best !== undefined && comparePlaces(best, place) <= 0)) continue;
    // Sampling makes small peaks on a slope. From one that is not surely wide the climb leaves its ground: no place of its own.
    const isSure = radiusM[peak] * radiusM[peak] - (coarseM * coarseM) / 4 >= mowM * mowM;
    const dx = place.at.x - x[peak];
    const dy = place.at.y - y[peak];
    if (isSure || dx * dx + dy * dy <= coarseM * coarseM) best = place;
  }
  return best;
}

/** A circle that is itself of the mowing width, for ground whose peak is not its own. */
function wideEnoughOf(
  walls: Walls,
  { x, y, radiusM }: Skeleton,
  group: readonly number[],
  mowM: number,
): Place | undefined {
  let best: Place | undefined;
  for (const t of group) {
    const place = { at: { x: x[t], y: y[t] }, radiusM: clearanceM(walls, x[t], y[t], radiusM[t]) };
    if (place.radiusM >= mowM && (best === undefined || comparePlaces(place, best) < 0)) best = place;
  }
  return best;
}

function widestAnywhere(walls: Walls, { x, y, radiusM, narrowest }: Skeleton): Place | undefined {
  let top = -1;
  for (let t = 0; t < radiusM.length; t++) if (radiusM[t] > 0 && (top < 0 || radiusM[t] > radiusM[top])) top = t;
  if (top >= 0) return widestPlace(walls, { x: x[top], y: y[top] }, radiusM[top]);
  return narrowest && widestPlace(walls, narrowest, 0.1);
}

function isSamePlace(a: Place, b: Place): boolean {
  return Math.abs(a.at.x - b.at.x) < 1e-5 && Math.abs(a.at.y - b.at.y) < 1e-5;
}

/** Widest first; of equally wide ones (1e-7 m) the lowest, then the leftmost. */
function comparePlaces(a: Place, b: Place): number {
  if (Math.abs(a.radiusM - b.radiusM) > 1e-7) return b.radiusM - a.radiusM;
  return Math.abs(a.at.y - b.at.y) > 1e-6 ? a.at.y - b.at.y : a.at.x - b.at.x;
}

// --- bottlenecks -----------------------------------------------------------------------------------------------------------------

/** Two basins meet over this link; `wayBack` leads from circle to circle back to each zone. */
type Meeting = {
  readonly link: Link;
  readonly zones: readonly [number, number];
  readonly waysBack: readonly [readonly Link[], readonly Link[]];
  readonly isAlternative: boolean;
};

function meetBasins(skeleton: Skeleton, zoneOf: Int32Array, zoneCount: number): Meeting[] {
  const narrow = skeleton.links
    .filter(({ from, to }) => zoneOf[from] < 0 || zoneOf[from] !== zoneOf[to])
    .sort((one, two) => two.halfM - one.halfM);
  const sets = disjointSets(zoneOf.length);
  const firstOfZone = new Int32Array(zoneCount).fill(-1);
  for (let t = 0; t < zoneOf.length; t++) {
    const zone = zoneOf[t];
    if (zone < 0) continue;
    if (firstOfZone[zone] < 0) firstOfZone[zone] = t;
    else sets.join(firstOfZone[zone], t);
  }
  const basinOf = Int32Array.from(zoneOf);
  const joined = disjointSets(zoneCount);
  const tree = new Map<number, Link[]>();
  const meetings: Omit<Meeting, 'waysBack'>[] = [];
  for (const link of narrow) {
    const from = sets.find(link.from);
    const to = sets.find(link.to);
    if (from === to) continue;
    const [one, two] = [basinOf[from], basinOf[to]];
    if (one >= 0 && two >= 0) {
      meetings.push({ link, zones: [one, two], isAlternative: joined.find(one) === joined.find(two) });
      joined.join(one, two);
      continue;
    }
    basinOf[sets.join(from, to)] = Math.max(one, two);
    for (const end of [link.from, link.to]) {
      const list = tree.get(end);
      if (list === undefined) tree.set(end, [link]);
      else list.push(link);
    }
  }
  return meetings.map((meeting) => ({
    ...meeting,
    waysBack: [wayBack(tree, zoneOf, meeting.link.from), wayBack(tree, zoneOf, meeting.link.to)],
  }));
}

/** Links from a circle back to its zone through the tree of its basin, nearest zone circle first met (breadth first). */
function wayBack(tree: ReadonlyMap<number, readonly Link[]>, zoneOf: Int32Array, start: number): Link[] {
  const cameBy = new Map<number, { link: Link; previous: number } | undefined>([[start, undefined]]);
  const queue = [start];
  for (const t of queue) {
    if (zoneOf[t] >= 0) {
      const way: Link[] = [];
      for (let step = cameBy.get(t); step !== undefined; step = cameBy.get(step.previous)) way.unshift(step.link);
      return way;
    }
    for (const link of tree.get(t) ?? []) {
      const other = link.from === t ? link.to : link.from;
      if (cameBy.has(other)) continue;
      cameBy.set(other, { link, previous: t });
      queue.push(other);
    }
  }
  return [];
}

function describeBottleneck(
  walls: Walls,
  zoneOf: Int32Array,
  { link, zones, waysBack, isAlternative }: Meeting,
  mouths: MouthFinder,
  windowM: number,
): Bottleneck {
  const narrowest = link.critical ?? slideToShortest(walls, link.a, link.b, windowM);
  const [back, forth] = waysBack;
  const start = mouths(back.at(-1) ?? link, back.length === 0 ? link.from : zoneEnd(back[back.length - 1], zoneOf));
  const end = mouths(forth.at(-1) ?? link, forth.length === 0 ? link.to : zoneEnd(forth[forth.length - 1], zoneOf));
  const middles = (way: readonly Link[]): PlanePoint[] => way.slice(0, -1).map(({ a, b }) => middleOf(a, b));
  const points = [
    start.circle.at,
    ...middles(back).reverse(),
    middleOf(narrowest.p, narrowest.q),
    ...middles(forth),
    end.circle.at,
  ];
  const centreLine = thinLine(points);
  return {
    widthM: 2 * narrowest.halfM,
    touches: [
      { x: narrowest.p.x, y: narrowest.p.y },
      { x: narrowest.q.x, y: narrowest.q.y },
    ],
    centreLine,
    lengthM: lineLengthM(centreLine),
    between: zones,
    isAlternative,
  };
}

function zoneEnd(link: Link, zoneOf: Int32Array): number {
  return zoneOf[link.from] >= 0 ? link.from : link.to;
}

// --- mouths and cuts -------------------------------------------------------------------------------------------------------------

/** The circle of the mowing width on a link, near its end inside a zone. */
type MouthFinder = (link: Link, zoneCircle: number) => Mouth;

function mouthFinder(walls: Walls, skeleton: Skeleton, zoneOf: Int32Array, mowM: number): MouthFinder {
  const known = new Map<Link, Map<number, Mouth>>();
  return (link, zoneCircle) => {
    let ofLink = known.get(link);
    if (ofLink === undefined) {
      ofLink = new Map();
      known.set(link, ofLink);
    }
    const zone = zoneOf[zoneCircle];
    const before = ofLink.get(zone);
    if (before !== undefined) return before;
    const mouth = mouthBetween(walls, link.a, link.b, roughMouth(skeleton, link, zoneCircle, mowM), mowM);
    ofLink.set(zone, mouth);
    return mouth;
  };
}

/** Where on a link the circle has about the mowing width: between the zone's circle and the narrower end or the chord. */
function roughMouth({ x, y, radiusM }: Skeleton, link: Link, zoneCircle: number, mowM: number): PlanePoint {
  const other = link.from === zoneCircle ? link.to : link.from;
  const isDip = link.halfM < Math.min(radiusM[link.from], radiusM[link.to]);
  const far = isDip ? middleOf(link.a, link.b) : { x: x[other], y: y[other] };
  const fall = radiusM[zoneCircle] - link.halfM;
  const t = fall > 0 ? Math.min(1, Math.max(0, (radiusM[zoneCircle] - mowM) / fall)) : 0;
  return { x: x[zoneCircle] + t * (far.x - x[zoneCircle]), y: y[zoneCircle] + t * (far.y - y[zoneCircle]) };
}

/**
 * Ground outside the zones hangs together in pieces. A piece that touches two zones is a corridor; one that reaches farther than the
 * mowing width beyond the last full circle is a tail; both are cut off at all their mouths. What is left are corners (down to 39
 * degrees) and nooks: they stay with their zone.
 */
function findCuts(skeleton: Skeleton, zoneOf: Int32Array, mouths: MouthFinder, mowWidthM: number): Chord[] {
  const { x, y, radiusM, links } = skeleton;
  const mowM = mowWidthM / 2;
  const sets = disjointSets(zoneOf.length);
  const cuts: Chord[] = [];
  const crossings: { link: Link; zoneCircle: number; outside: number; at: PlanePoint }[] = [];
  for (const link of links) {
    const [from, to] = [zoneOf[link.from], zoneOf[link.to]];
    if (from < 0 && to < 0) sets.join(link.from, link.to);
    else if (from >= 0 && to >= 0 && from !== to) {
      cuts.push(mouths(link, link.from).chord, mouths(link, link.to).chord);
    } else if (from < 0 !== to < 0) {
      const [zoneCircle, outside] = from >= 0 ? [link.from, link.to] : [link.to, link.from];
      crossings.push({ link, zoneCircle, outside, at: roughMouth(skeleton, link, zoneCircle, mowM) });
    }
  }
  const piecesAt = new Map<number, typeof crossings>();
  for (const crossing of crossings) {
    const piece = sets.find(crossing.outside);
    const list = piecesAt.get(piece);
    if (list === undefined) piecesAt.set(piece, [crossing]);
    else list.push(crossing);
  }
  const isCut = new Set<number>();
  for (const [piece, at] of piecesAt) {
    if (at.some(({ zoneCircle }) => zoneOf[zoneCircle] !== zoneOf[at[0].zoneCircle])) isCut.add(piece);
  }
  for (let t = 0; t < zoneOf.length; t++) {
    if (radiusM[t] === 0 || zoneOf[t] >= 0) continue;
    const piece = sets.find(t);
    const entries = piecesAt.get(piece);
    if (entries === undefined || isCut.has(piece)) continue;
    const isFar = entries.every(({ at }) => {
      const dx = x[t] - at.x;
      const dy = y[t] - at.y;
      return Math.sqrt(dx * dx + dy * dy) + radiusM[t] - mowM > mowWidthM;
    });
    if (isFar) isCut.add(piece);
  }
  for (const [piece, at] of piecesAt) {
    if (isCut.has(piece)) for (const { link, zoneCircle } of at) cuts.push(mouths(link, zoneCircle).chord);
  }
  return cuts;
}

// --- small tools -----------------------------------------------------------------------------------------------------------------

function middleOf(a: PlanePoint, b: PlanePoint): PlanePoint {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

/** Union-find with path halving; `join` returns the root that is left. */
function disjointSets(count: number): { find(t: number): number; join(a: number, b: number): number } {
  const parent = new Int32Array(count);
  const size = new Int32Array(count).fill(1);
  for (let t = 0; t < count; t++) parent[t] = t;
  const find = (start: number): number => {
    let t = start;
    while (parent[t] !== t) {
      parent[t] = parent[parent[t]];
      t = parent[t];
    }
    return t;
  };
  return {
    find,
    join(a, b) {
      let [one, two] = [find(a), find(b)];
      if (one === two) return one;
      if (size[one] < size[two]) [one, two] = [two, one];
      parent[two] = one;
      size[one] += size[two];
      return one;
    },
  };
}

/** Leaves out points nearer than 10 mm to the line through the kept ones (Douglas and Peucker's rule, without recursion). */
function thinLine(points: readonly PlanePoint[]): Polyline {
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  const stretches: [number, number][] = [[0, points.length - 1]];
  for (let stretch = stretches.pop(); stretch !== undefined; stretch = stretches.pop()) {
    const [first, last] = stretch;
    let worst = first;
    let worstM = LINE_TOLERANCE_M;
    for (let i = first + 1; i < last; i++) {
      const { x, y } = points[i];
      const offM = pointSegmentM(x, y, points[first].x, points[first].y, points[last].x, points[last].y);
      if (offM > worstM) {
        worst = i;
        worstM = offM;
      }
    }
    if (worst === first) continue;
    keep[worst] = 1;
    stretches.push([first, worst], [worst, last]);
  }
  return Float64Array.from(points.flatMap(({ x, y }, i) => (keep[i] === 1 ? [x, y] : [])));
}
