import type { Ring } from '#geo-core/model/position.ts';
import type { ReflexJoin } from '#geo-core/model/rules.ts';
import { reversedRing } from './polygons.ts';

/** Arcs are drawn as tangents that stay outside the true arc by at most this, so that errors fall on the safe side. */
const ARC_TOLERANCE_M = 0.001;

/** Longest mitre, as a multiple of the distance; sharper reflex corners are cut off. */
const MITRE_LIMIT = 10;

/** Edges shorter than this carry no direction worth keeping, metres. */
const SHORTEST_EDGE_M = 1e-7;

/**
 * The raw contour of a ring moved to its left by a distance of its own for every edge. Winding number of the contour =
 * winding of the ring - one for every edge's band - one for every corner's pie, so {winding >= 1} of all contours of a
 * polygon together (one positive-fill sweep) is exactly the ground that keeps its distance from every edge.
 *
 *        nk.dk                    convex corner, equal distances: the contour runs back to the corner v,
 *      +------+                   the bands overlap there and the sweep drops the overlap.
 *      |  k   |v   f ->           reflex corner: the pie of radius d between the two bands is added,
 *      +------+---------+         drawn as tangents (round) or to their meeting point (mitre).
 *          e-> |   j    |         unequal distances: the larger distance bulges over the smaller band as the end cap
 *              +--------+         that it is.
 *
 * Ring: flat metres, interior on the left. offsetsM[i] belongs to the edge from vertex i to i + 1. Mitre joins apply where
 * both distances are equal; elsewhere the round cap is the only safe form. Directions are halved with square roots only, so
 * every engine gives the same bits. Returns undefined for a ring without three distinct vertices.
 */
export function insetContour(ring: Ring, offsetsM: ArrayLike<number>, join: ReflexJoin): Ring | undefined {
  const chain = chainOf(ring, offsetsM);
  if (chain.count < 3) return undefined;
  const out: number[] = [];
  for (let i = 0; i < chain.count; i++) corner(out, chain, i, join);
  return new Float64Array(out);
}

/** A disc as the tangents around it: contains the true disc, overshoots it by at most the arc tolerance. Counter-clockwise. */
export function discRing(x: number, y: number, radiusM: number): Ring {
  const out: number[] = [];
  for (let quarter = 0; quarter < 4; quarter++) {
    const [ux, uy] = COMPASS[quarter];
    const [wx, wy] = COMPASS[(quarter + 1) % 4];
    arc(out, x, y, radiusM, ux, uy, wx, wy, 2 * ARC_TOLERANCE_M);
  }
  return reversedRing(new Float64Array(out));
}

/** All ground within radiusM of the segment a-b, on both sides and round its ends: tangents outside the true arcs. Clockwise. */
export function capsuleRing(ax: number, ay: number, bx: number, by: number, radiusM: number): Ring {
  const [ex, ey] = direction(ax, ay, bx, by);
  const out: number[] = [bx - ey * radiusM, by + ex * radiusM];
  cap(out, bx, by, radiusM, [
    [-ey, ex],
    [ex, ey],
    [ey, -ex],
  ]);
  out.push(bx + ey * radiusM, by - ex * radiusM, ax + ey * radiusM, ay - ex * radiusM);
  cap(out, ax, ay, radiusM, [
    [ey, -ex],
    [-ex, -ey],
    [-ey, ex],
  ]);
  out.push(ax - ey * radiusM, ay + ex * radiusM);
  return new Float64Array(out);
}

/** The half disc beyond the end b of the segment a-b: tangents outside the true arc. Clockwise. */
export function endCapRing(ax: number, ay: number, bx: number, by: number, radiusM: number): Ring {
  const [ex, ey] = direction(ax, ay, bx, by);
  const out: number[] = [bx - ey * radiusM, by + ex * radiusM];
  cap(out, bx, by, radiusM, [
    [-ey, ex],
    [ex, ey],
    [ey, -ex],
  ]);
  out.push(bx + ey * radiusM, by - ex * radiusM);
  return new Float64Array(out);
}

/** South, west, north, east: clockwise. */
const COMPASS: readonly (readonly [number, number])[] = [
  [0, -1],
  [-1, 0],
  [0, 1],
  [1, 0],
];

/** Turns with a smaller sine count as straight on, or (turning back) as a spike, which is a reflex corner. */
const STRAIGHT_SINE = 1e-12;
const SPIKE_SINE = 1e-9;
/** An arc this near its end has arrived. */
const ARRIVED_SINE = 1e-6;

/**
 * A ring without edges too short to have a direction, in flat arrays, since this is the innermost loop of planning: vertices;
 * unit direction, length and distance of the edge that begins there; and what the corner there cuts off the moved lines of the
 * edges before and after it.
 */
type Chain = {
  readonly count: number;
  readonly xs: Float64Array;
  readonly ys: Float64Array;
  readonly exs: Float64Array;
  readonly eys: Float64Array;
  readonly lengthsM: Float64Array;
  readonly distancesM: Float64Array;
  readonly cutsBeforeM: Float64Array;
  readonly cutsAfterM: Float64Array;
};

function chainOf(ring: Ring, offsetsM: ArrayLike<number>): Chain {
  const most = ring.length / 2;
  const [xs, ys, distancesM] = [new Float64Array(most), new Float64Array(most), new Float64Array(most)];
  const [exs, eys, lengthsM] = [new Float64Array(most), new Float64Array(most), new Float64Array(most)];
  let count = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const next = i + 2 === ring.length ? 0 : i + 2;
    const dx = ring[next] - ring[i];
    const dy = ring[next + 1] - ring[i + 1];
    if (dx * dx + dy * dy < SHORTEST_EDGE_M * SHORTEST_EDGE_M) continue;
    xs[count] = ring[i];
    ys[count] = ring[i + 1];
    distancesM[count++] = offsetsM[i / 2];
  }
  for (let i = 0; i < count; i++) {
    const next = i + 1 === count ? 0 : i + 1;
    const dx = xs[next] - xs[i];
    const dy = ys[next] - ys[i];
    lengthsM[i] = Math.sqrt(dx * dx + dy * dy);
    exs[i] = dx / lengthsM[i];
    eys[i] = dy / lengthsM[i];
  }
  const chain = { count, xs, ys, exs, eys, lengthsM, distancesM };
  return { ...chain, ...cutsOf(chain) };
}

/** Convex corners cut d tan(turn / 2) off both lines, tapers their length off the line nearer to the edge. */
function cutsOf({ count, exs, eys, distancesM }: Omit<Chain, 'cutsBeforeM' | 'cutsAfterM'>) {
  const cutsBeforeM = new Float64Array(count);
  const cutsAfterM = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const k = i === 0 ? count - 1 : i - 1;
    const before = distancesM[k];
    const after = distancesM[i];
    const sine = exs[k] * eys[i] - eys[k] * exs[i];
    const cosine = exs[k] * exs[i] + eys[k] * eys[i];
    if (before === after) {
      if (sine > 0) cutsBeforeM[i] = cutsAfterM[i] = (before * sine) / (1 + cosine);
    } else if (Math.abs(sine) < STRAIGHT_SINE && cosine > 0) {
      if (before > after) cutsAfterM[i] = before * Math.SQRT2 - after;
      else cutsBeforeM[i] = after * Math.SQRT2 - before;
    }
  }
  return { cutsBeforeM, cutsAfterM };
}

/** Whether the moved line of an edge is long enough for what the corners at both its ends cut off it. */
function hasRoom({ count, lengthsM, cutsBeforeM, cutsAfterM }: Chain, edge: number): boolean {
  return cutsAfterM[edge] + cutsBeforeM[edge + 1 === count ? 0 : edge + 1] <= lengthsM[edge];
}

/** The contour past one corner. Where both moved lines have room for it, the lines simply meet, or taper from one to the other. */
function corner(out: number[], chain: Chain, i: number, join: ReflexJoin): void {
  const { count, xs, ys, exs, eys, distancesM } = chain;
  const k = i === 0 ? count - 1 : i - 1;
  const x = xs[i];
  const y = ys[i];
  const ex = exs[k];
  const ey = eys[k];
  const fx = exs[i];
  const fy = eys[i];
  const before = distancesM[k];
  const after = distancesM[i];
  const sine = ex * fy - ey * fx;
  const cosine = ex * fx + ey * fy;
  const isStraight = Math.abs(sine) < STRAIGHT_SINE && cosine > 0;
  const isSpike = Math.abs(sine) < SPIKE_SINE && cosine < 0;
  const isConvex = !isSpike && (sine > 0 || isStraight);
  if (before !== after) {
    if (isStraight && hasRoom(chain, k) && hasRoom(chain, i)) taper(out, { x, y, ex, ey, fx, fy, before, after });
    else unequalCorner(out, { x, y, ex, ey, fx, fy, before, after }, cosine, isConvex);
  } else if (isStraight) {
    out.push(x - ey * before, y + ex * before);
  } else if (!isConvex) {
    const toleranceM = join === 'mitre' ? before * (MITRE_LIMIT - 1) : ARC_TOLERANCE_M;
    arc(out, x, y, before, -ey, ex, -fy, fx, toleranceM);
  } else if (hasRoom(chain, k) && hasRoom(chain, i)) {
    const reach = before / (1 + cosine);
    out.push(x - (ey + fy) * reach, y + (ex + fx) * reach);
  } else {
    out.push(x - ey * before, y + ex * before, x, y, x - fy * after, y + fx * after);
  }
}

/** A corner of two different distances: directions e before and f after it. */
type Corner = {
  readonly x: number;
  readonly y: number;
  readonly ex: number;
  readonly ey: number;
  readonly fx: number;
  readonly fy: number;
  readonly before: number;
  readonly after: number;
};

/**
 * Along a straight edge the wire changes line by a taper of 45 degrees, the tangent of the larger distance's end cap.
 *
 *      ------.
 *             \\          before > after
 *      -------v'\\-------
 */
function taper(out: number[], { x, y, ex, ey, fx, fy, before, after }: Corner): void {
  const wide = Math.max(before, after);
  const [startM, endM] = [wide * (Math.SQRT2 - 1), wide * Math.SQRT2 - Math.min(before, after)];
  if (before > after) {
    out.push(x - ey * before + ex * startM, y + ex * before + ey * startM);
    out.push(x - fy * after + fx * endM, y + fx * after + fy * endM);
  } else {
    out.push(x - ey * before - ex * endM, y + ex * before - ey * endM);
    out.push(x - fy * after - fx * startM, y + fx * after - fy * startM);
  }
}

/** Different distances: the larger one bulges over the smaller band as the end cap of its edge. */
function unequalCorner(
  out: number[],
  { x, y, ex, ey, fx, fy, before, after }: Corner,
  cosine: number,
  isConvex: boolean,
): void {
  out.push(x - ey * before, y + ex * before);
  if (isConvex && cosine <= 0) {
    out.push(x, y);
  } else if (before > after) {
    const turned =
      cosine >= 0
        ? [[ex, ey]]
        : [
            [ex, ey],
            [ey, -ex],
          ];
    cap(out, x, y, before, [[-ey, ex], ...(isConvex ? [] : turned), [fx, fy]]);
    out.push(x + fx * before, y + fy * before, x, y);
  } else {
    const turned =
      cosine >= 0
        ? [[-fx, -fy]]
        : [
            [fy, -fx],
            [-fx, -fy],
          ];
    out.push(x, y, x - ex * after, y - ey * after);
    cap(out, x, y, after, [[-ex, -ey], ...(isConvex ? [] : turned), [-fy, fx]]);
  }
  out.push(x - fy * after, y + fx * after);
}

/**
 * An end cap clockwise by way of the directions given, none more than a quarter turn after the last. At a reflex corner it
 * goes all the way to the neighbour's edge: everything there sees the corner, whatever stands behind it.
 */
function cap(out: number[], x: number, y: number, radiusM: number, directions: readonly (readonly number[])[]): void {
  for (let i = 0; i + 1 < directions.length; i++) {
    const [[ux, uy], [wx, wy]] = [directions[i], directions[i + 1]];
    arc(out, x, y, radiusM, ux, uy, wx, wy, ARC_TOLERANCE_M);
  }
}

/** A clockwise turn of constant angle, and how far (in radii) the tangents at its ends meet beyond the arc. */
type Step = { readonly cosine: number; readonly sine: number; readonly overshoot: number };

/**
 * Turns of 15, 10, 7.5, 5, 2.5, ... degrees, from square roots and Newton's rule alone (never a sine of the engine's), so that all
 * engines draw the same arcs: 15 = 60 - 45, 5 = a third of 15 by 3 s - 4 s^3 = sin 15, the others by doubling and halving.
 */
const STEPS: readonly Step[] = (() => {
  const sine15 = (Math.sqrt(3) - 1) / (2 * Math.SQRT2);
  let sine5 = 0.087;
  for (let round = 0; round < 8; round++)
    sine5 -= ((4 * sine5 * sine5 - 3) * sine5 + sine15) / (12 * sine5 * sine5 - 3);
  const ofSine = (sine: number) => ofCosine(Math.sqrt(1 - sine * sine));
  const ofCosine = (cosine: number): Step => {
    const halfCosine = Math.sqrt((1 + cosine) / 2);
    return { cosine, sine: Math.sqrt((1 - cosine) * (1 + cosine)), overshoot: 1 / halfCosine - 1 };
  };
  const halved = (step: Step) => ofCosine(Math.sqrt((1 + step.cosine) / 2));
  const five = ofSine(sine5);
  const steps = [ofSine(sine15), ofSine(2 * sine5 * five.cosine), halved(ofSine(sine15)), five];
  for (let k = 0; k < 6; k++) steps.push(halved(steps[steps.length - 1]));
  return steps;
})();

/** Clockwise from direction u to direction w (at most half a turn): the meeting points of tangents, the ends not included. */
function arc(
  out: number[],
  x: number,
  y: number,
  radiusM: number,
  ux: number,
  uy: number,
  wx: number,
  wy: number,
  toleranceM: number,
): void {
  const whole = ux * wx + uy * wy;
  const halfCosine = Math.sqrt(Math.max(0, (1 + whole) / 2));
  let [px, py] = [ux, uy];
  if (radiusM * (1 - halfCosine) > toleranceM * halfCosine) {
    const step = STEPS.find(({ overshoot }) => radiusM * overshoot <= toleranceM) ?? STEPS[STEPS.length - 1];
    const reach = radiusM / (1 + step.cosine);
    for (;;) {
      const qx = px * step.cosine + py * step.sine;
      const qy = py * step.cosine - px * step.sine;
      if (qx * wy - qy * wx >= -ARRIVED_SINE) break;
      out.push(x + (px + qx) * reach, y + (py + qy) * reach);
      px = qx;
      py = qy;
    }
  }
  const reach = radiusM / (1 + px * wx + py * wy);
  out.push(x + (px + wx) * reach, y + (py + wy) * reach);
}

function direction(ax: number, ay: number, bx: number, by: number): [number, number] {
  return unit(bx - ax, by - ay);
}

function unit(dx: number, dy: number): [number, number] {
  const length = Math.sqrt(dx * dx + dy * dy);
  return [dx / length, dy / length];
}
