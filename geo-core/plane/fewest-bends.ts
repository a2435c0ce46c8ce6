import type { Ring } from '#geo-core/model/position.ts';
import { SHARPEST_LEFT_COSINE, SHARPEST_RIGHT_COSINE } from './drivable-corners.ts';
import { fewestLinks, type Place, type Tube } from './fewest-links.ts';
import { nearly } from './nearly.ts';
import { lowestLeft } from './polygons.ts';
import type { RingChange } from './ring-change.ts';

/** A turn up to this is part of a bend (cosine of 41 degrees, so that turns of 45 degrees stay); sharper ones are corners. */
const GENTLE_COSINE = 0.75;
/** Gates end this share of the way before they would cross the next one. */
const GATE_SHARE = 0.9;
const MOST_HALVINGS = 4;
/** The least tolerance that needs no more vertices is found by halving this often: to an eighth of it. */
const EVEN_ROUNDS = 3;

/**
 * The bends of a ring (interior on the left), each with the fewest vertices that stay on the left of the ring and within
 * toleranceM of it; only those with fewer vertices than before. Corners, and edges that are straight stretches rather than
 * steps of a curve, stay as they are, but for their ends: round what stands on the right they go on to where the bend meets them.
 *
 *        ______                    ____
 *      /        \   right turns:  /    \      left turns:   a chord from vertex to vertex
 *     |          |               |      |                   of the curve
 */
export function fewestBends(ring: Ring, toleranceM: number): RingChange[] {
  if (toleranceM <= 0 || ring.length < 8) return [];
  const shape = shapeOf(ring, toleranceM);
  const bends: RingChange[] = [];
  for (const run of runsOf(shape)) {
    if (run.edges < 2 && !(run.extendsFirst && run.extendsLast)) continue;
    const xy = laid(shape, run, toleranceM);
    if (xy !== undefined) bends.push(withoutFixedEnds(run, shape.count, xy));
  }
  return bends;
}

/** Of every vertex i: the unit direction of the edge from it, sine and cosine of the turn at it; which edges are stretches. */
type Shape = {
  readonly ring: Ring;
  readonly count: number;
  readonly ex: Float64Array;
  readonly ey: Float64Array;
  readonly lengthM: Float64Array;
  readonly sine: Float64Array;
  readonly cosine: Float64Array;
  readonly isStretch: Uint8Array;
};

function shapeOf(ring: Ring, toleranceM: number): Shape {
  const count = ring.length / 2;
  const [ex, ey, lengthM] = [new Float64Array(count), new Float64Array(count), new Float64Array(count)];
  const [sine, cosine, isStretch] = [new Float64Array(count), new Float64Array(count), new Uint8Array(count)];
  for (let i = 0; i < count; i++) {
    const next = i + 1 === count ? 0 : i + 1;
    const [dx, dy] = [ring[2 * next] - ring[2 * i], ring[2 * next + 1] - ring[2 * i + 1]];
    lengthM[i] = Math.sqrt(dx * dx + dy * dy);
    ex[i] = dx / lengthM[i];
    ey[i] = dy / lengthM[i];
  }
  for (let i = 0; i < count; i++) {
    const before = i === 0 ? count - 1 : i - 1;
    sine[i] = ex[before] * ey[i] - ey[before] * ex[i];
    cosine[i] = ex[before] * ex[i] + ey[before] * ey[i];
  }
  const rise = (i: number) => (cosine[i] >= GENTLE_COSINE ? Math.abs(sine[i]) : 0);
  for (let i = 0; i < count; i++) {
    const next = i + 1 === count ? 0 : i + 1;
    isStretch[i] = lengthM[i] * Math.max(rise(i), rise(next)) > 2 * toleranceM ? 1 : 0;
  }
  return { ring, count, ex, ey, lengthM, sine, cosine, isStretch };
}

/** A run of edges between two places that stay: corners or straight stretches, which may go on beyond their vertex. */
type Run = {
  readonly first: number;
  readonly edges: number;
  readonly extendsFirst: boolean;
  readonly extendsLast: boolean;
};

/** The runs between the places that stay. */
function runsOf(shape: Shape): Run[] {
  const { count, cosine, sine, isStretch } = shape;
  const before = (i: number) => (i === 0 ? count - 1 : i - 1);
  const stays = (i: number) => cosine[i] < GENTLE_COSINE || isStretch[i] === 1 || isStretch[before(i)] === 1;
  const start = firstWhere(count, stays);
  if (start === undefined) return [roundRun(shape)];
  const goesOn = (i: number, edge: number) => isStretch[edge] === 1 && cosine[i] >= GENTLE_COSINE && sine[i] < 0;
  const runs: Run[] = [];
  let first = start;
  for (let step = 1; step <= count; step++) {
    const i = (start + step) % count;
    if (step < count && !stays(i)) continue;
    const edges = start + step - first;
    const from = first % count;
    if (edges > 1 || isStretch[from] === 0)
      runs.push({ first: from, edges, extendsFirst: goesOn(from, before(from)), extendsLast: goesOn(i, i) });
    first = start + step;
  }
  return runs;
}

/**
 * A ring without any place that stays: once round from its longest edge between two turns to the right, whose line is a
 * tangent (the first from its lowest left vertex on, of equal ones); where there is none, from that vertex.
 */
function roundRun({ ring, count, sine, lengthM }: Shape): Run {
  const first = lowestLeft(ring) / 2;
  let longest = -1;
  for (let k = 0; k < count; k++) {
    const i = (first + k) % count;
    if (sine[i] >= 0 || sine[(i + 1) % count] >= 0) continue;
    if (longest < 0 || nearly(lengthM[i], lengthM[longest]) > 0) longest = i;
  }
  if (longest >= 0) return { first: (longest + 1) % count, edges: count - 1, extendsFirst: true, extendsLast: true };
  return { first, edges: count, extendsFirst: false, extendsLast: false };
}

function firstWhere(count: number, suits: (i: number) => boolean): number | undefined {
  for (let i = 0; i < count; i++) if (suits(i)) return i;
  return undefined;
}

/** The run with the fewest vertices, evenly: with the least tolerance that needs no more. Undefined where it saves nothing. */
function laid(shape: Shape, run: Run, toleranceM: number): readonly number[] | undefined {
  const gates = gatesOf(shape, run);
  const attempt = (withinM: number, mostBends: number): readonly number[] | undefined => {
    const xy = fewestLinks(tubeOf(gates, withinM), mostBends);
    return xy !== undefined && xy.length / 2 <= mostBends && isDrivable(shape, run, xy) ? xy : undefined;
  };
  let highM = toleranceM;
  let best = attempt(highM, run.edges);
  for (let k = 0; best === undefined && k < MOST_HALVINGS; k++) {
    highM /= 2;
    best = attempt(highM, run.edges);
  }
  if (best === undefined) return undefined;
  let lowM = 0;
  for (let round = 0; round < EVEN_ROUNDS; round++) {
    const middleM = (lowM + highM) / 2;
    const xy = attempt(middleM, best.length / 2);
    if (xy !== undefined) [best, highM] = [xy, middleM];
    else lowM = middleM;
  }
  return best;
}

/** Ends that stay belong to the neighbouring run as well: neither lays them anew. */
function withoutFixedEnds(run: Run, ringCount: number, xy: readonly number[]): RingChange {
  const [atFirst, atLast] = [run.extendsFirst ? 0 : 1, run.extendsLast ? 0 : 1];
  return {
    first: (run.first + atFirst) % ringCount,
    count: run.edges + 1 - atFirst - atLast,
    xy: xy.slice(2 * atFirst, xy.length - 2 * atLast),
    endsOnEdges: false,
  };
}

/** The vertices of a run, the unit direction of the gate at each, to the left, and the longest it may be without meeting another. */
type Gates = Omit<Tube, 'q'> & {
  readonly nx: readonly number[];
  readonly ny: readonly number[];
  readonly mostM: readonly number[];
};

function gatesOf({ ring, count, ex, ey }: Shape, { first, edges, extendsFirst, extendsLast }: Run): Gates {
  const p: Place[] = [];
  // Runs are short: lists cost less than typed arrays, whose memory lies apart.
  const nx: number[] = [];
  const ny: number[] = [];
  const mostM: number[] = [];
  for (let k = 0; k <= edges; k++) {
    const i = (first + k) % count;
    const before = i === 0 ? count - 1 : i - 1;
    p.push({ x: ring[2 * i], y: ring[2 * i + 1], next: k + 1 });
    const dx = -ey[before] - ey[i];
    const dy = ex[before] + ex[i];
    const length = Math.sqrt(dx * dx + dy * dy);
    nx.push(dx / length);
    ny.push(dy / length);
    mostM.push((k === 0 && !extendsFirst) || (k === edges && !extendsLast) ? 0 : Number.POSITIVE_INFINITY);
  }
  for (let k = 0; k < edges; k++) {
    const dx = p[k + 1].x - p[k].x;
    const dy = p[k + 1].y - p[k].y;
    const across = nx[k] * ny[k + 1] - ny[k] * nx[k + 1];
    const meetM = (dx * ny[k + 1] - dy * nx[k + 1]) / across;
    const meetNextM = (dx * ny[k] - dy * nx[k]) / across;
    if (meetM > 0) mostM[k] = Math.min(mostM[k], GATE_SHARE * meetM);
    if (meetNextM > 0) mostM[k + 1] = Math.min(mostM[k + 1], GATE_SHARE * meetNextM);
  }
  const [last, before] = [(first + edges) % count, (first + count - 1) % count];
  return {
    p,
    nx,
    ny,
    mostM,
    firstAlong: extendsFirst ? [ex[before], ey[before]] : undefined,
    lastAlong: extendsLast ? [ex[last], ey[last]] : undefined,
  };
}

function tubeOf({ p, nx, ny, mostM, firstAlong, lastAlong }: Gates, withinM: number): Tube {
  const q = p.map(({ x, y, next }, k): Place => {
    const widthM = Math.min(withinM, mostM[k]);
    return { x: x + nx[k] * widthM, y: y + ny[k] * widthM, next };
  });
  return { p, q, firstAlong, lastAlong };
}

/** Whether no turn of the new run is a corner, the turns at its ends included. */
function isDrivable({ ring, count, cosine }: Shape, { first, edges }: Run, xy: readonly number[]): boolean {
  const [before, after] = [2 * ((first + count - 1) % count), 2 * ((first + edges + 1) % count)];
  const line = [ring[before], ring[before + 1]];
  for (const value of xy) line.push(value);
  line.push(ring[after], ring[after + 1]);
  const last = line.length - 4;
  for (let i = 2; i <= last; i += 2) {
    const isCorner =
      (i === 2 && cosine[first] < GENTLE_COSINE) || (i === last && cosine[(first + edges) % count] < GENTLE_COSINE);
    if (isCorner) continue;
    const ux = line[i] - line[i - 2];
    const uy = line[i + 1] - line[i - 1];
    const vx = line[i + 2] - line[i];
    const vy = line[i + 3] - line[i + 1];
    const limit = ux * vy - uy * vx > 0 ? SHARPEST_LEFT_COSINE : SHARPEST_RIGHT_COSINE;
    if (ux * vx + uy * vy < limit * Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy))) return false;
  }
  return true;
}
