import type Flatbush from 'flatbush';
import { edgeFindings, type FoundStep, type ToldTwice } from '#geo-core/edging/edge-findings.ts';
import { type Claim, holdingSource } from '#geo-core/edging/holding-source.ts';
import type { Staged } from '#geo-core/model/finding.ts';
import type { DerivedLawn, EdgedPolygon, EdgeRing, SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { Polyline, Ring } from '#geo-core/model/position.ts';
import { offsetForBeyond, type Rules } from '#geo-core/model/rules.ts';
import type { Beyond, PlaneFeature, PlaneSite, SiteKind } from '#geo-core/model/site.ts';
import { segmentIndex } from '#geo-core/plane/box-index.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';
import { edgeSteps } from '#geo-core/terrain/edge-steps.ts';

export type ClassifyEdgesInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly slope?: SlopeSurvey | undefined;
};

/** What a feature of this kind means for the lawn edge it lies along; how near it must lie, metres; who wins where several do. */
type Meaning = { readonly beyond: Beyond; readonly reachM: number; readonly precedence: number };
const MEANING: Partial<Record<SiteKind, Meaning>> = {
  road: { beyond: 'road', reachM: 0.3, precedence: 1 },
  water: { beyond: 'water', reachM: 0.15, precedence: 2 },
  building: { beyond: 'wall', reachM: 0.15, precedence: 3 },
  planting: { beyond: 'planting', reachM: 0.15, precedence: 4 },
  paving: { beyond: 'level-paving', reachM: 0.15, precedence: 5 },
  crossing: { beyond: 'level-paving', reachM: 0.15, precedence: 6 },
};
/** A wall, fence or the like drawn as an obstacle beside the lawn, from this height on: what lies lower is driven against, not through. */
const OBSTACLE: Meaning = { beyond: 'wall', reachM: 0.15, precedence: 3 };
const OBSTACLE_LEAST_M = 0.05;
/** Where a stretch is taken from the ground's heights instead of a feature. */
const FROM_HEIGHTS = '/elevation';
/** Edges are drawn by hand along the lawn: they may miss it by this much, and they always win. */
const EDGE_REACH_M = 0.5;
const DRAWN = 0;
/** Two lines count as running along each other up to about 20 degrees (sine). */
const ALONG_SINE = 0.35;
/** An edge shorter than this is no edge of a lawn, metres. */
const SPECK_M = 0.001;
/** Stretches shorter than this are drawing noise: they take the larger offset beside them, metres. */
const LEAST_STRETCH_M = 0.02;

type Source = Meaning & Claim;
type Sources = { readonly list: readonly Source[]; readonly index: Flatbush | undefined; readonly reachM: number };
type Stretch = { readonly from: number; readonly to: number; readonly source: Source };

/**
 * Lawn edges and what lies beyond -> edges split where it changes, each with its offset and what it was told by: a drawn `edge`,
 * which always wins, else the feature it runs along, else a step of the ground in the elevation grid, which is to be confirmed.
 */
export function classifyEdges({ site, lawn, slope }: ClassifyEdgesInput, rules: Rules): Staged<EdgedPolygon[]> {
  const sources = gatherSources(site);
  const steps: FoundStep[] = [];
  const twice: ToldTwice[] = [];
  const classified = (ring: Ring): EdgeRing => classifyRing(ring, sources, slope, steps, twice, rules);
  const output = lawn.ground.map((polygon) => ({
    outer: classified(polygon.outer),
    holes: polygon.holes.map(classified),
  }));
  return { output, findings: edgeFindings(output, site, steps, twice, EDGE_REACH_M) };
}

function gatherSources(site: PlaneSite): Sources {
  const list: Source[] = [];
  for (const feature of site.features) {
    const meaning = meaningOf(feature);
    if (meaning === undefined) continue;
    const { shape, pointer } = feature;
    if (shape.type === 'area')
      for (const ring of ringsOf(shape.polygons)) addSegments(list, ring, true, meaning, pointer);
    if (shape.type === 'line') for (const line of shape.lines) addSegments(list, line, false, meaning, pointer);
  }
  return {
    list,
    index: segmentIndex(endsOf(list)),
    reachM: list.reduce((reach, source) => Math.max(reach, source.reachM), 0),
  };
}

function meaningOf(feature: PlaneFeature): Meaning | undefined {
  if (feature.kind === 'edge') {
    return feature.beyond && { beyond: feature.beyond, reachM: EDGE_REACH_M, precedence: DRAWN };
  }
  const meaning = feature.kind === 'obstacle' ? obstacleMeaning(feature) : MEANING[feature.kind];
  if (meaning === undefined || feature.shape.type !== 'line') return meaning;
  return { ...meaning, reachM: meaning.reachM + (feature.widthM ?? 0) / 2 };
}

function obstacleMeaning({ heightM }: PlaneFeature): Meaning | undefined {
  return heightM === undefined || heightM >= OBSTACLE_LEAST_M ? OBSTACLE : undefined;
}

function endsOf(list: readonly Source[]): Float64Array {
  const ends = new Float64Array(4 * list.length);
  for (let k = 0; k < list.length; k++) {
    ends[4 * k] = list[k].ax;
    ends[4 * k + 1] = list[k].ay;
    ends[4 * k + 2] = list[k].bx;
    ends[4 * k + 3] = list[k].by;
  }
  return ends;
}

function addSegments(list: Source[], line: Polyline, isClosed: boolean, meaning: Meaning, pointer: string): void {
  const { beyond, reachM, precedence } = meaning;
  const last = isClosed ? line.length : line.length - 2;
  for (let i = 0; i < last; i += 2) {
    const next = (i + 2) % line.length;
    list.push({
      beyond,
      reachM,
      precedence,
      pointer,
      ax: line[i],
      ay: line[i + 1],
      bx: line[next],
      by: line[next + 1],
    });
  }
}

function classifyRing(
  ring: Ring,
  sources: Sources,
  slope: SlopeSurvey | undefined,
  steps: FoundStep[],
  twice: ToldTwice[],
  rules: Rules,
): EdgeRing {
  const xy: number[] = [];
  const beyond: (Beyond | 'unknown')[] = [];
  const from: string[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const next = (i + 2) % ring.length;
    const [ax, ay, bx, by] = [ring[i], ring[i + 1], ring[next], ring[next + 1]];
    const pieces = splitEdge(ax, ay, bx, by, sources, twice, rules);
    for (const piece of slope === undefined
      ? pieces
      : pieces.flatMap((each) => byHeights(each, ax, ay, bx, by, slope, steps))) {
      xy.push(ax + (bx - ax) * piece.from, ay + (by - ay) * piece.from);
      beyond.push(piece.beyond);
      from.push(piece.pointer);
    }
  }
  silenceSpecks(xy, beyond, from);
  return {
    ring: new Float64Array(xy),
    beyond,
    from,
    offsetsM: Float64Array.from(beyond, (each) => offsetForBeyond(rules, each)),
  };
}

/** Edges that only rounding has made say nothing of their own: what lies beyond the edge before goes on. */
function silenceSpecks(xy: readonly number[], beyond: (Beyond | 'unknown')[], from: string[]): void {
  const count = beyond.length;
  for (let i = 0; i < count; i++) {
    const [next, before] = [(i + 1) % count, (i + count - 1) % count];
    const [dx, dy] = [xy[2 * next] - xy[2 * i], xy[2 * next + 1] - xy[2 * i + 1]];
    if (dx * dx + dy * dy > SPECK_M * SPECK_M) continue;
    beyond[i] = beyond[before];
    from[i] = from[before];
  }
}

type Piece = { from: number; to: number; beyond: Beyond | 'unknown'; pointer: string };

/** One edge -> pieces from its start (0) to its end (1), each with what lies beyond. */
function splitEdge(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  sources: Sources,
  twice: ToldTwice[],
  rules: Rules,
): Piece[] {
  const length = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
  const stretches = stretchesAlong(ax, ay, bx, by, length, sources);
  if (stretches.length === 0) return [{ from: 0, to: 1, beyond: 'unknown', pointer: 'unknown' }];
  const cuts = [...new Set([0, 1, ...stretches.flatMap(({ from, to }) => [from, to])])].toSorted((a, b) => a - b);
  const pieces: Piece[] = [];
  for (let i = 0; i + 1 < cuts.length; i++) {
    const middle = (cuts[i] + cuts[i + 1]) / 2;
    const claims = stretches.filter(({ from, to }) => from <= middle && middle <= to).map(({ source }) => source);
    const [x, y] = [ax + middle * (bx - ax), ay + middle * (by - ay)];
    const held = holdingSource(claims, x, y, rules);
    const best = held?.holds;
    const lengthM = (cuts[i + 1] - cuts[i]) * length;
    if (best?.precedence === DRAWN && held?.over !== undefined && lengthM >= LEAST_STRETCH_M)
      twice.push({ holds: best, over: held.over, lengthM, x, y });
    const beyond = best?.beyond ?? 'unknown';
    const pointer = best?.pointer ?? 'unknown';
    const previous = pieces[pieces.length - 1];
    if (previous && previous.beyond === beyond && previous.pointer === pointer) previous.to = cuts[i + 1];
    else pieces.push({ from: cuts[i], to: cuts[i + 1], beyond, pointer });
  }
  return withoutNoise(pieces, LEAST_STRETCH_M / length, rules);
}

/** A piece that nothing is said about, split where the ground steps down or up beyond it. */
function byHeights(
  piece: Piece,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  slope: SlopeSurvey,
  steps: FoundStep[],
): Piece[] {
  if (piece.beyond !== 'unknown') return [piece];
  const [dx, dy] = [bx - ax, by - ay];
  const share = piece.to - piece.from;
  const at = (t: number): readonly [number, number] => [ax + t * dx, ay + t * dy];
  const found = edgeSteps(...at(piece.from), ...at(piece.to), slope);
  const split: Piece[] = [];
  let reached = piece.from;
  for (const step of found) {
    const from = piece.from + share * step.from;
    const to = step.to === 1 ? piece.to : piece.from + share * step.to;
    if (from > reached) split.push({ ...piece, from: reached, to: from });
    split.push({ from, to, beyond: step.beyond, pointer: FROM_HEIGHTS });
    const [x, y] = at((from + to) / 2);
    steps.push({ ...step, lengthM: (to - from) * Math.sqrt(dx * dx + dy * dy), x, y });
    reached = to;
  }
  if (reached < piece.to) split.push({ ...piece, from: reached });
  return split;
}

/** Stretches too short to mean anything join the neighbour with the larger offset (the safe side). */
function withoutNoise(pieces: readonly Piece[], leastShare: number, rules: Rules): Piece[] {
  const kept = [...pieces];
  for (let i = 0; i < kept.length && kept.length > 1; ) {
    if (kept[i].to - kept[i].from >= leastShare) {
      i++;
      continue;
    }
    const [before, after] = [kept[i - 1], kept[i + 1]];
    const takesBefore =
      after === undefined ||
      (before !== undefined && offsetForBeyond(rules, before.beyond) >= offsetForBeyond(rules, after.beyond));
    if (takesBefore) kept[i - 1] = { ...before, to: kept[i].to };
    else kept[i + 1] = { ...after, from: kept[i].from };
    kept.splice(i, 1);
  }
  return kept;
}

/** Where (0 to 1) the sources run along the edge within their reach. */
function stretchesAlong(ax: number, ay: number, bx: number, by: number, length: number, sources: Sources): Stretch[] {
  const { index, list, reachM } = sources;
  if (index === undefined || length === 0) return [];
  const [ux, uy] = [(bx - ax) / length, (by - ay) / length];
  const [minX, minY, maxX, maxY] = [Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)];
  const near = index.search(minX - reachM, minY - reachM, maxX + reachM, maxY + reachM);
  const found: Stretch[] = [];
  for (const i of near.toSorted((a, b) => a - b)) {
    const stretch = stretchOf(list[i], ax, ay, ux, uy, length);
    if (stretch) found.push({ from: stretch[0], to: stretch[1], source: list[i] });
  }
  return found;
}

/** The part of the edge (0 to 1) that a source segment runs along: where its projection lies and its distance is in reach. */
function stretchOf(
  source: Source,
  ax: number,
  ay: number,
  ux: number,
  uy: number,
  length: number,
): [number, number] | undefined {
  const alongA = (source.ax - ax) * ux + (source.ay - ay) * uy;
  const alongB = (source.bx - ax) * ux + (source.by - ay) * uy;
  const asideA = (source.ay - ay) * ux - (source.ax - ax) * uy;
  const asideB = (source.by - ay) * ux - (source.bx - ax) * uy;
  const run = alongB - alongA;
  const rise = asideB - asideA;
  if (Math.abs(rise) > ALONG_SINE * Math.sqrt(run * run + rise * rise) || run === 0) return undefined;
  let [from, to] = run > 0 ? [alongA, alongB] : [alongB, alongA];
  if (rise !== 0) {
    const atPlus = alongA + ((source.reachM - asideA) / rise) * run;
    const atMinus = alongA + ((-source.reachM - asideA) / rise) * run;
    from = Math.max(from, Math.min(atPlus, atMinus));
    to = Math.min(to, Math.max(atPlus, atMinus));
  } else if (Math.abs(asideA) > source.reachM) return undefined;
  from = Math.max(0, from / length);
  to = Math.min(1, to / length);
  return to > from ? [from, to] : undefined;
}
