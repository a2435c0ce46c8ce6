/**
 * Sine, cosine and their like from + - * / and square roots only, which IEEE 754 rounds the same way in every engine
 * (ECMA-262 leaves the last digits of `Math.sin` and the others to the implementation): the same site gives the same plan to the
 * byte in Node and in any browser. Arguments are halved or turned until the Taylor series (Abramowitz and Stegun, Handbook of
 * Mathematical Functions, 4.3.65-66, 4.4.42, 4.5.62-63, 4.6.31) needs few terms; tests/geo-core/projection/portable-functions.test.ts
 * holds them to 1e-15 of what they approximate.
 */

const QUARTER = Math.PI / 2;
/** What a double leaves of a quarter turn after `QUARTER`, so that turning back by quarters loses nothing. */
const QUARTER_REST = 6.123_233_995_736_766e-17;
/** Halved arguments up to this need no more terms than the series have: the first one left out is below 1e-18 of the sum. */
const SMALL = 0.1;

/** Sine and cosine of an angle in radians, up to a few turns. */
export function sineCosine(angle: number): { readonly sine: number; readonly cosine: number } {
  const quarters = Math.round(angle / QUARTER);
  const rest = angle - quarters * QUARTER - quarters * QUARTER_REST;
  const r2 = rest * rest;
  let [sine, cosine] = [1, 1];
  for (let k = 20; k > 0; k -= 2) {
    sine = 1 - (r2 / (k * (k + 1))) * sine;
    cosine = 1 - (r2 / (k * (k - 1))) * cosine;
  }
  sine *= rest;
  switch (((quarters % 4) + 4) % 4) {
    case 0:
      return { sine, cosine };
    case 1:
      return { sine: cosine, cosine: -sine };
    case 2:
      return { sine: -sine, cosine: -cosine };
    default:
      return { sine: -cosine, cosine: sine };
  }
}

/** The angle of the direction (x, y) from the x axis, counter-clockwise, within [-pi, pi]; 0 for (0, 0). */
export function arcTangent(y: number, x: number): number {
  const [ax, ay] = [Math.abs(x), Math.abs(y)];
  if (ax === 0 && ay === 0) return 0;
  const first = ay <= ax ? tangentSeries(ay / ax) : QUARTER - tangentSeries(ax / ay);
  const upper = x >= 0 ? first : Math.PI - first;
  return y >= 0 ? upper : -upper;
}

/** tan(a/2) = t / (1 + sqrt(1 + t^2)). */
function tangentSeries(tangent: number): number {
  let t = tangent;
  let doubled = 1;
  for (; t > SMALL; doubled *= 2) t /= 1 + Math.sqrt(1 + t * t);
  const t2 = t * t;
  let sum = 0;
  for (let k = 17; k > 1; k -= 2) sum = t2 * (1 / k - sum);
  return doubled * (t - t * sum);
}

/** Inverse of the hyperbolic sine. sinh(u/2) = s / sqrt(2 + 2 cosh u). */
export function areaSine(value: number): number {
  let s = value;
  let doubled = 1;
  for (; Math.abs(s) > SMALL; doubled *= 2) s /= Math.sqrt(2 + 2 * Math.sqrt(1 + s * s));
  const s2 = s * s;
  let sum = 1;
  // asinh s = s - s^3/6 + 3 s^5/40 - ...: each term is the one before times -(2k - 1)^2 s^2 / (2k (2k + 1)).
  for (let k = 9; k > 0; k--) sum = 1 - ((s2 * (2 * k - 1) * (2 * k - 1)) / (2 * k * (2 * k + 1))) * sum;
  return doubled * s * sum;
}

/** Hyperbolic sine and cosine. sinh 2u = 2 sinh u cosh u, cosh 2u = 1 + 2 sinh^2 u. */
export function hyperbolicSineCosine(value: number): { readonly sine: number; readonly cosine: number } {
  let doublings = 0;
  let u = value;
  for (; Math.abs(u) > SMALL; doublings++) u /= 2;
  const u2 = u * u;
  let sum = 1;
  for (let k = 10; k > 0; k -= 2) sum = 1 + (u2 / (k * (k + 1))) * sum;
  let sine = u * sum;
  let cosine = Math.sqrt(1 + sine * sine);
  for (; doublings > 0; doublings--) [sine, cosine] = [2 * sine * cosine, 1 + 2 * sine * sine];
  return { sine, cosine };
}
