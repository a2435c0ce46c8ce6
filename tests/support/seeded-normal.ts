import { seededRandom } from '../bench/statistics.ts';

/** Normally distributed numbers (mean 0, deviation 1) from a seed: Box and Muller, Ann. Math. Stat. 29 (1958) 610-611, from memory. */
export function seededNormal(seed: number): () => number {
  const random = seededRandom(seed);
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}
