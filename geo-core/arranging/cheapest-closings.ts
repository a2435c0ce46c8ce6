import { disjointSets } from '#geo-core/plane/disjoint-sets.ts';

/**
 * A strait of ground between loops that may be closed: which loops it would make one (by number), and what that costs in metres
 * of wire: the wire of its throats minus the wire of the walls it takes away, plus the lawn it loses at its worth.
 */
export type Strait = { readonly loops: readonly number[]; readonly costM: number };
/** A lead that may join two loops: twice its length is its cost. */
export type LeadChoice = { readonly loops: readonly [number, number]; readonly lengthM: number };

/**
 * Which straits to close so that wire and lost lawn cost least (numbers of straits, ascending).
 *
 * All loops must hang together in the end, by leads or by being one; and closing a strait between loops that are one already
 * would shut ground in. So a choice is a tree over the loops whose branches are closed straits and leads, each with its
 * cost, and the cheapest tree is the greedy one (J. B. Kruskal, On the shortest spanning subtree of a graph, Proc. AMS 7,
 * 1956). A strait between three loops or more counts once for each loop it saves: there the greedy choice is not proven best.
 */
export function cheapestClosings(
  loopCount: number,
  straits: readonly Strait[],
  leads: readonly LeadChoice[],
): number[] {
  const joined = disjointSets(loopCount);
  const branches = [
    ...leads.map(({ loops, lengthM }) => ({ loops, costM: 2 * lengthM, strait: -1 })),
    ...straits.map(({ loops, costM }, strait) => ({ loops, costM: costM / (loops.length - 1), strait })),
  ].toSorted((a, b) => a.costM - b.costM || a.strait - b.strait);
  const closed: number[] = [];
  for (const { loops, strait } of branches) {
    const roots = loops.map(joined.find);
    if (new Set(roots).size < roots.length) continue;
    for (const root of roots) joined.join(roots[0], root);
    if (strait >= 0) closed.push(strait);
  }
  return closed.toSorted((a, b) => a - b);
}
