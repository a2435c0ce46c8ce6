import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import { type Chord, cutPolygon, findTouches } from '#geo-core/plane/clearance-cut.ts';
import { raiseWalls, type Walls } from '#geo-core/plane/clearance-walls.ts';
import { disjointSets } from '#geo-core/plane/disjoint-sets.ts';
import { distanceM, polygonAreaM2 } from '#geo-core/plane/measure.ts';

/** Ground cut in two: each side in one piece, the straight stretches of the cut and their length. */
export type Cut = {
  readonly sides: readonly [Polygon, Polygon];
  readonly lines: readonly (readonly [PlanePoint, PlanePoint])[];
  readonly lengthM: number;
};

export type CutWanted = {
  readonly polygon: Polygon;
  /** What the first side should weigh of the whole, 0 to 1. */
  readonly share: number;
  /** Either side may weigh this much less or more, as a share of the whole. */
  readonly tolerance: number;
  readonly weightOf: (polygon: Polygon) => number;
  /** Metres of cut that a cut is worth avoiding for: what stands in its way, sides that lack something. */
  readonly penaltyM: (cut: Cut) => number;
};

/** Directions that are looked along, evenly by the tangent of half their angle, and those of the longest edges. */
const DIRECTIONS = 12;
const LONGEST_EDGES = 6;
const OFFSETS = 40;
/** Lines that meet the ground in more stretches than this are cut by single stretches only. */
const STRETCHES_MAX = 8;
/** A cut that is out of balance by the whole costs this many times its length more. */
const BALANCE_WORTH = 4;
/** Cuts just beside a corner, so that none runs through one, metres. */
const BESIDE_M = 1e-3;
const REFINED = 48;
const LEAST_SHARE = 1e-6;

type Direction = { readonly ux: number; readonly uy: number };
type Found = { readonly cut: Cut; readonly scoreM: number; readonly along: Direction; readonly offM: number };

/**
 * The shortest straight cut that leaves each side in one piece and the first with its share of the weight, within the tolerance; undefined
 * where no line does. A cut is one or two stretches of a line inside the ground (two where it passes a hole):
 *
 *      +-----+------+        +-----------+
 *      |     :      |        |  :  +--+  |
 *      |     :      |        |  :  |  |..|      stretches that lie on other lines are never joined to one cut
 *      +-----+------+        +-----+--+--+
 *
 * Lines in a few directions and at a few offsets are looked at all through; the best is then moved where that shortens it or levels its
 * sides. Bottlenecks are found since the shortest wins; a corner of the ground that reaches inward has a line of its own.
 */
export function bestCut(wanted: CutWanted): Cut | undefined {
  const walls = raiseWalls(wanted.polygon);
  if (walls === undefined) return undefined;
  const judge = cutJudge(wanted, walls);
  let best: Found | undefined;
  let stepM = 0;
  for (const along of directionsOf(walls)) {
    const { offsets, spacingM } = offsetsOf(walls, along);
    for (const offM of offsets) {
      const found = judge(along, offM, best?.scoreM ?? Number.POSITIVE_INFINITY);
      if (found === undefined) continue;
      best = found;
      stepM = spacingM;
    }
  }
  return best === undefined ? undefined : refined(best, stepM, judge).cut;
}

type Judge = (along: Direction, offM: number, underM: number) => Found | undefined;

/** Moves the line to and fro by ever smaller steps, then turns nothing: directions are those of the ground itself. */
function refined(first: Found, spacingM: number, judge: Judge): Found {
  let best = first;
  let stepM = spacingM / 2;
  for (let k = 0; k < REFINED; k++) {
    const better =
      judge(best.along, best.offM + stepM, best.scoreM) ?? judge(best.along, best.offM - stepM, best.scoreM);
    if (better === undefined) stepM /= 2;
    else best = better;
  }
  return best;
}

function cutJudge({ polygon, share, tolerance, weightOf, penaltyM }: CutWanted, walls: Walls): Judge {
  const touches = findTouches(walls);
  const whole = weightOf(polygon);
  return (along, offM, underM) => {
    const chords = chordsOf(walls, along, offM);
    if (chords.length === 0) return undefined;
    const { parts, leftOf, rightOf } = cutPolygon(walls, chords, touches);
    if (parts.length < 2) return undefined;
    const weights = parts.map(weightOf);
    let best: Found | undefined;
    for (const chosen of choices(chords.length)) {
      const lengthM = chosen.reduce((sum, k) => sum + chordM(chords[k]), 0);
      if (lengthM >= (best?.scoreM ?? underM)) continue;
      const firstWeight = weightOfSide(chosen, leftOf, rightOf, weights);
      if (firstWeight === undefined) continue;
      const asItIs = Math.abs(firstWeight / whole - share);
      const turned = Math.abs(1 - firstWeight / whole - share);
      const off = Math.min(asItIs, turned);
      if (off > tolerance || lengthM * (1 + BALANCE_WORTH * off) >= (best?.scoreM ?? underM)) continue;
      const cut = cutAlong(
        walls,
        chosen.map((k) => chords[k]),
        lengthM,
        touches,
        share,
        weightOf,
      );
      if (cut === undefined) continue;
      const scoreM = lengthM * (1 + BALANCE_WORTH * off) + penaltyM(cut);
      if (scoreM < (best?.scoreM ?? underM)) best = { cut, scoreM, along, offM };
    }
    return best;
  };
}

/** Which stretches of a line are cut: each alone, and every two. */
function choices(count: number): number[][] {
  const single = Array.from({ length: count }, (_, k) => [k]);
  if (count > STRETCHES_MAX) return single;
  return [...single, ...single.flatMap(([k]) => Array.from({ length: count - k - 1 }, (_, i) => [k, k + 1 + i]))];
}

/**
 * Weight of the parts on one side, where cutting only the chosen stretches leaves two sides and every one of them lies between the two;
 * else undefined.
 */
function weightOfSide(
  chosen: readonly number[],
  leftOf: Int32Array,
  rightOf: Int32Array,
  weights: readonly number[],
): number | undefined {
  const joined = disjointSets(weights.length);
  for (let k = 0; k < leftOf.length; k++) {
    if (leftOf[k] < 0 || rightOf[k] < 0) return undefined;
    if (!chosen.includes(k)) joined.join(leftOf[k], rightOf[k]);
  }
  const roots = new Set(weights.map((_, part) => joined.find(part)));
  if (roots.size !== 2) return undefined;
  if (chosen.some((k) => joined.find(leftOf[k]) === joined.find(rightOf[k]))) return undefined;
  const first = joined.find(leftOf[chosen[0]]);
  return weights.reduce((sum, weight, part) => (joined.find(part) === first ? sum + weight : sum), 0);
}

function cutAlong(
  walls: Walls,
  chords: readonly Chord[],
  lengthM: number,
  touches: ReturnType<typeof findTouches>,
  share: number,
  weightOf: (polygon: Polygon) => number,
): Cut | undefined {
  const { parts } = cutPolygon(walls, chords, touches);
  const [one, other, ...more] = parts.filter((part) => polygonAreaM2(part) > LEAST_SHARE);
  if (one === undefined || other === undefined || more.length > 0) return undefined;
  const [oneWeight, otherWeight] = [weightOf(one), weightOf(other)];
  const wholeWeight = oneWeight + otherWeight;
  const isFirst = Math.abs(oneWeight / wholeWeight - share) <= Math.abs(otherWeight / wholeWeight - share);
  return {
    sides: isFirst ? [one, other] : [other, one],
    lines: chords.map(({ p, q }) => [
      { x: p.x, y: p.y },
      { x: q.x, y: q.y },
    ]),
    lengthM,
  };
}

function chordM({ p, q }: Chord): number {
  return distanceM(p.x, p.y, q.x, q.y);
}

function directionsOf({ count, ux, uy, lengthM }: Walls): Direction[] {
  const around = Array.from({ length: DIRECTIONS }, (_, k): Direction => {
    const t = -1 + (2 * k) / DIRECTIONS;
    const whole = 1 + t * t;
    return { ux: (1 - t * t) / whole, uy: (2 * t) / whole };
  });
  const longest = Array.from({ length: count }, (_, k) => k)
    .toSorted((a, b) => lengthM[b] - lengthM[a] || a - b)
    .slice(0, LONGEST_EDGES);
  const edges = longest.flatMap((k): Direction[] => [
    { ux: ux[k], uy: uy[k] },
    { ux: -uy[k], uy: ux[k] },
  ]);
  return [...edges, ...around];
}

/** Distances of lines from the origin, to the left of a direction: evenly through the ground, and on both sides of corners that reach inward. */
function offsetsOf({ segments, count, isReflex }: Walls, { ux, uy }: Direction) {
  const offs = Array.from({ length: count }, (_, i) => ux * segments[4 * i + 1] - uy * segments[4 * i]);
  const least = offs.reduce((a, b) => Math.min(a, b));
  const most = offs.reduce((a, b) => Math.max(a, b));
  const spacingM = (most - least) / OFFSETS;
  const even = Array.from({ length: OFFSETS }, (_, k) => least + spacingM * (k + 0.5));
  const beside = offs.flatMap((offM, i) => (isReflex[i] === 1 ? [offM - BESIDE_M, offM + BESIDE_M] : []));
  return { offsets: [...even, ...beside.slice(0, 2 * OFFSETS)], spacingM };
}

/** The stretches of a line inside the ground, in order. */
function chordsOf({ segments: s, count }: Walls, { ux, uy }: Direction, offM: number): Chord[] {
  const crossings: { alongM: number; x: number; y: number; segment: number }[] = [];
  for (let i = 0; i < count; i++) {
    const [ax, ay, bx, by] = [s[4 * i], s[4 * i + 1], s[4 * i + 2], s[4 * i + 3]];
    const [a, b] = [ux * ay - uy * ax - offM, ux * by - uy * bx - offM];
    if (a > 0 === b > 0) continue;
    const t = a / (a - b);
    const [x, y] = [ax + t * (bx - ax), ay + t * (by - ay)];
    crossings.push({ alongM: ux * x + uy * y, x, y, segment: i });
  }
  crossings.sort((a, b) => a.alongM - b.alongM);
  const chords: Chord[] = [];
  for (let i = 0; i + 1 < crossings.length; i += 2) {
    const [p, q] = [crossings[i], crossings[i + 1]];
    if (q.alongM - p.alongM > BESIDE_M) chords.push({ p, q });
  }
  return chords;
}
