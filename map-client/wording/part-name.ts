import type { Say } from './words.ts';

/** A zone or passage by the number in its id: `zone-1` is zone 1. */
export function partName(id: string, say: Say): string {
  const n = id.slice(id.lastIndexOf('-') + 1);
  return say(id.startsWith('passage') ? 'part.passage' : 'part.zone', { n });
}
