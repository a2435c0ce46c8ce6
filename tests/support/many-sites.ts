import { typicalParcel } from '../bench/bench-gardens.ts';
import { seededRandom } from '../bench/statistics.ts';

/** So many invented parcels as JSON, each with an id of its own; the same for the same seed. */
export function manySites(count: number, seed = 7): string[] {
  const random = seededRandom(seed);
  return Array.from({ length: count }, (_, i) => JSON.stringify({ ...typicalParcel(random), id: `parcel-${i}` }));
}
