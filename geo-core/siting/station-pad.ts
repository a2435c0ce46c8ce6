import type { SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import { sineCosine } from '#geo-core/projection/portable-functions.ts';

/** The ground a station and the machine in front of it stand on: along the wire from behind the station to before it. */
export type Pad = {
  readonly at: PlanePoint;
  /** Direction of travel, a unit vector; the machine comes from behind, against `before`. */
  readonly ux: number;
  readonly uy: number;
  readonly beforeM: number;
  readonly behindM: number;
};

/** Half of the width that plate and wheels take. Common practice, no source. */
const HALF_WIDTH_M = 0.4;
const ALONG = 7;
const ACROSS = 3;
/** Fewer known heights do not carry a plane. */
const LEAST_HEIGHTS = 9;
const ROUND_M = 3;
const ROUND_POINTS = 16;

/** Places spread over the pad. */
export function padPoints({ at, ux, uy, beforeM, behindM }: Pad): PlanePoint[] {
  return Array.from({ length: ALONG * ACROSS }, (_, k) => {
    const along = -beforeM + ((beforeM + behindM) * (k % ALONG)) / (ALONG - 1);
    const aside = HALF_WIDTH_M * (Math.floor(k / ALONG) - 1);
    return { x: at.x + along * ux - aside * uy, y: at.y + along * uy + aside * ux };
  });
}

/** Slope of the least-squares plane through the heights of the pad, percent; undefined where too few are known. */
export function padSlopePct(pad: Pad, { heightAtM }: SlopeSurvey): number | undefined {
  const known = padPoints(pad)
    .map(({ x, y }) => ({ x, y, z: heightAtM(x, y) }))
    .filter(({ z }) => !Number.isNaN(z));
  if (known.length < LEAST_HEIGHTS) return undefined;
  const mean = (of: (each: (typeof known)[number]) => number): number =>
    known.reduce((sum, each) => sum + of(each), 0) / known.length;
  const [mx, my, mz] = [mean(({ x }) => x), mean(({ y }) => y), mean(({ z }) => z)];
  const xx = mean(({ x }) => (x - mx) * (x - mx));
  const yy = mean(({ y }) => (y - my) * (y - my));
  const xy = mean(({ x, y }) => (x - mx) * (y - my));
  const xz = mean(({ x, z }) => (x - mx) * (z - mz));
  const yz = mean(({ y, z }) => (y - my) * (z - mz));
  const determinant = xx * yy - xy * xy;
  // Heights along one line alone say nothing of the slope across it.
  if (!(determinant > 1e-6)) return undefined;
  const riseX = (xz * yy - yz * xy) / determinant;
  const riseY = (yz * xx - xz * xy) / determinant;
  return 100 * Math.sqrt(riseX * riseX + riseY * riseY);
}

/**
 * How much lower the ground lies than the lowest way out of it 3 m around, metres: more than zero means that rain stands on it. Undefined
 * where heights are missing.
 */
export function hollowM({ at }: Pad, { heightAtM }: SlopeSurvey): number | undefined {
  const ownM = heightAtM(at.x, at.y);
  let lowestM = Number.POSITIVE_INFINITY;
  for (let k = 0; k < ROUND_POINTS; k++) {
    const { sine, cosine } = sineCosine((2 * Math.PI * k) / ROUND_POINTS);
    const heightM = heightAtM(at.x + ROUND_M * cosine, at.y + ROUND_M * sine);
    if (Number.isNaN(heightM)) return undefined;
    lowestM = Math.min(lowestM, heightM);
  }
  return Number.isNaN(ownM) ? undefined : lowestM - ownM;
}
