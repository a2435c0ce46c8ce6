import type { Ring } from '#geo-core/model/position.ts';
import { kernel } from './kernel.ts';
import { reversedRing } from './polygons.ts';

/**
 * The union of parts (each its clean rings), gaps up to `seamM` wide between different parts closed. Only what two parts come near is
 * touched: notches and corners of one part stay as they are, and parts farther apart come back as their plain union.
 *
 *     +-----+|+-----+         +-----------+
 *     |  A  |||  B  |   ->    |           |
 *     +-----+|+-----+         +-----------+
 */
export function joinAcrossSeams(parts: readonly (readonly Ring[])[], seamM: number, gridM: number): Ring[] {
  const whole = kernel().positiveUnion(parts.flat(), gridM);
  if (parts.length < 2) return whole;
  const grown = parts.flatMap((part) => kernel().offset(part, seamM, gridM, 'mitre'));
  // The frame, gone around the other way, takes one from every winding number: what is left is near two parts.
  const nearTwo = kernel().positiveUnion([...grown, reversedRing(frameAround(grown))], gridM);
  if (nearTwo.length === 0) return whole;
  const closed = kernel().offset(kernel().offset(whole, seamM / 2, gridM, 'mitre'), -seamM / 2, gridM, 'mitre');
  return kernel().positiveUnion([...whole, ...kernel().intersection(closed, nearTwo, gridM)], gridM);
}

/** A rectangle around rings, counter-clockwise. */
function frameAround(rings: readonly Ring[]): Ring {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const ring of rings)
    for (let i = 0; i < ring.length; i += 2) {
      west = Math.min(west, ring[i]);
      east = Math.max(east, ring[i]);
      south = Math.min(south, ring[i + 1]);
      north = Math.max(north, ring[i + 1]);
    }
  return Float64Array.of(west - 1, south - 1, east + 1, south - 1, east + 1, north + 1, west - 1, north + 1);
}
