import { areaSine, hyperbolicSineCosine } from '#geo-core/projection/portable-functions.ts';

/** Coverage arithmetic of a mowing machine. Metres, seconds in, hours out. */

/**
 * Ground mown in an hour, square metres: speed x width x efficiency (effective field capacity S W E; Iowa State University PM 696,
 * University of Kentucky AEN-73). 0.4 m/s, 0.22 m, 0.7: 221.76.
 */
export function fieldCapacityM2PerH(speedMps: number, widthM: number, efficiency: number): number {
  return 3600 * speedMps * widthM * efficiency;
}

/** Hours on the grass to cut `areaM2` `passes` times. */
export function mowingH(areaM2: number, passes: number, capacityM2PerH: number): number {
  return (areaM2 * passes) / capacityM2PerH;
}

/**
 * Share of the ground that random straight runs cut at least once, `passes` = width x driven length / area: 1 - exp(-passes)
 * (B. O. Koopman's law of random search, quoted in US Coast Guard, The Theory of Search, 1996). Measured 1 to 2 points less,
 * because edges are missed.
 */
export function randomCoveredShare(passes: number): number {
  const { sine, cosine } = hyperbolicSineCosine(passes);
  return 1 - 1 / (sine + cosine);
}

/** Passes after which random runs have cut `share` (0 to below 1): the inverse of `randomCoveredShare`. */
export function passesForShare(share: number): number {
  const rest = 1 - share;
  // -ln r = arsinh((1/r - r) / 2).
  return areaSine((1 / rest - rest) / 2);
}

/**
 * Mean straight run from edge to edge, metres: pi A / P (Cauchy-Crofton; L. A. Santalo, Integral Geometry and Geometric Probability,
 * from memory). `perimeterM` counts the edges of holes.
 */
export function meanFreeRunM(areaM2: number, perimeterM: number): number {
  return (Math.PI * areaM2) / perimeterM;
}
