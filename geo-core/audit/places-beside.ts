import type { Segments } from './segments.ts';

/** How far beside a wire its two sides are looked at, metres; less on very short segments, so that the place stays in its corner. */
const BESIDE_M = 0.005;
const BESIDE_SHARE = 0.05;

/** Places beside the middle of every segment, flat: x and y of the one to its left, then of the one to its right. */
export function placesBeside({ abXy, lengthM, count }: Segments): Float64Array {
  const places = new Float64Array(4 * count);
  for (let i = 0; i < count; i++) {
    const at = 4 * i;
    const dx = abXy[at + 2] - abXy[at];
    const dy = abXy[at + 3] - abXy[at + 1];
    const x = (abXy[at] + abXy[at + 2]) / 2;
    const y = (abXy[at + 1] + abXy[at + 3]) / 2;
    const beside = lengthM[i] === 0 ? 0 : Math.min(BESIDE_M, lengthM[i] * BESIDE_SHARE) / lengthM[i];
    places[at] = x - dy * beside;
    places[at + 1] = y + dx * beside;
    places[at + 2] = x + dy * beside;
    places[at + 3] = y - dx * beside;
  }
  return places;
}
