import type { FaultPlace, WireRecord } from './wire-record.ts';

/** Places less likely than this are out of the search. */
const OUT_OF_SEARCH = 1e-3;

export type Opening = { readonly splice: number; readonly chainageM: number };

/**
 * Which splice to open next: of those that leave, whatever is found, no more places than a search by halving may have left,
 * the one that halves the probability best. So no fault among n places needs more than ceil(log2 n) openings (binary search:
 * Knuth, The Art of Computer Programming 3, 6.2.1). Undefined when one place is left, or none that an opening could tell apart.
 */
export function nextOpening(record: WireRecord, places: readonly FaultPlace[]): Opening | undefined {
  const left = places.filter(({ probability }) => probability >= OUT_OF_SEARCH);
  if (left.length < 2) return undefined;
  const most = 2 ** (Math.ceil(Math.log2(left.length)) - 1);
  let best: { opening: Opening; isHalving: boolean; worst: number } | undefined;
  record.spliceChainagesM.forEach((chainageM, splice) => {
    const others = left.filter((place) => place.splice !== splice);
    const before = others.filter(({ toM }) => toM <= chainageM);
    const after = others.filter(({ toM }) => toM > chainageM);
    if (before.length === left.length || after.length === left.length) return;
    const isHalving = Math.max(before.length, after.length) <= most;
    const worst = Math.max(sum(before), sum(after));
    if (best === undefined || (isHalving && !best.isHalving) || (isHalving === best.isHalving && worst < best.worst))
      best = { opening: { splice, chainageM }, isHalving, worst };
  });
  return best?.opening;
}

function sum(places: readonly FaultPlace[]): number {
  return places.reduce((total, { probability }) => total + probability, 0);
}
