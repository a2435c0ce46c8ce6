import { offsetForBeyond, type Rules } from '#geo-core/model/rules.ts';
import type { Beyond } from '#geo-core/model/site.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';

/** A segment that says what lies beyond a lawn edge; the lower precedence wins. */
export type Claim = {
  readonly beyond: Beyond;
  readonly precedence: number;
  readonly pointer: string;
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
};

/** Worse first: what a machine does not come back from, where people are met, what only stops it. Decides where distances are equal. */
const WORST_FIRST: readonly Beyond[] = [
  'drop',
  'water',
  'road',
  'step-down',
  'step-up',
  'wall',
  'fence',
  'hedge',
  'planting',
  'open-ground',
  'level-paving',
];
/** Of things drawn along an edge those count that lie no farther from it than the nearest and this, metres: the others are about another edge. */
const BESIDE_M = 0.1;

/**
 * Which claim holds at a place of a lawn edge: the lowest precedence, of those the ones that lie beside the edge, of those the one with the largest
 * distance, then the worse thing. `over` is a claim of the same precedence that says something else. The order of claims does not matter.
 */
export function holdingSource<Source extends Claim>(
  claims: readonly Source[],
  x: number,
  y: number,
  rules: Rules,
): { readonly holds: Source; readonly over?: Source } | undefined {
  if (claims.length === 0) return undefined;
  if (claims.length === 1) return { holds: claims[0] };
  const precedence = Math.min(...claims.map((claim) => claim.precedence));
  const best = claims
    .filter((claim) => claim.precedence === precedence)
    .map((claim) => ({ claim, awayM: pointSegmentM(x, y, claim.ax, claim.ay, claim.bx, claim.by) }));
  const nearestM = Math.min(...best.map(({ awayM }) => awayM));
  const ranked = best
    .filter(({ awayM }) => awayM <= nearestM + BESIDE_M)
    .map(({ claim }) => claim)
    .toSorted(
      (p, q) =>
        offsetForBeyond(rules, q.beyond) - offsetForBeyond(rules, p.beyond) ||
        WORST_FIRST.indexOf(p.beyond) - WORST_FIRST.indexOf(q.beyond),
    );
  const over = ranked.find(({ beyond }) => beyond !== ranked[0].beyond);
  return { holds: ranked[0], ...(over && { over }) };
}
