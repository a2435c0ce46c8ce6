import type { PricesInput } from '#geo-core/model/price-book.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { readPriceBook } from '#geo-core/price/read-price-book.ts';

/** Lengths of the spools on offer, metres, each once, longest first: those of the price book, else that of the rule set. */
export function spoolSizesM(prices: PricesInput, { spoolM }: Rules): number[] {
  // A book without spools need not be read for them: that is a third of setting out.
  if ((prices.spools ?? []).length === 0) return [spoolM];
  const offered = readPriceBook(prices).book.spools.map(({ lengthM }) => lengthM);
  return offered.length === 0 ? [spoolM] : [...new Set(offered)].sort((a, b) => b - a);
}
