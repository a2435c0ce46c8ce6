import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/**
 * Each amount is quantity x unit price less its discount, the amounts make the subtotal, that less the discount the net sum (with tax where
 * prices contain it), the tax of each rate is its share, and net, tax and what cash rounds make the total: each to half of the smallest
 * unit of the currency. Worst is the largest difference, in that currency.
 */
export function checkAmountsAddUp({ takeOff }: Evidence): AuditCheck {
  const { lines, subtotal, discountPct, discount, net, taxes, tax, cashRounding, priceTotal, pricesIncludeTax } =
    takeOff;
  let unit = 1;
  for (let i = 0; i < takeOff.minorUnits; i++) unit /= 10;
  // Half a unit a rate, and what is lost when decimals are held in binary.
  const half = (unit / 2) * Math.max(1, taxes.length) + 1e-9 + 1e-12 * subtotal;
  const worst = worstCase('amounts-add-up', takeOff.currency, half);
  for (const { amount, quantity, unitPrice, discountPct: off } of lines)
    worst.see(Math.abs(amount - quantity * unitPrice * (1 - off / 100)));
  worst.see(Math.abs(subtotal - lines.reduce((sum, line) => sum + line.amount, 0)));
  worst.see(Math.abs(discount - (subtotal * discountPct) / 100));
  for (const share of taxes) {
    for (const pct of [share.pct, takeOff.taxPct ?? share.pct]) {
      const expected = pricesIncludeTax ? ((share.net + share.tax) * pct) / (100 + pct) : (share.net * pct) / 100;
      worst.see(Math.abs(share.tax - expected));
    }
  }
  // Sums of rounded amounts are exact: a unit off is off.
  const exactly = (difference: number): void =>
    worst.see(Math.abs(difference) < unit / 4 ? 0 : Math.abs(difference) + half);
  exactly(net - taxes.reduce((sum, share) => sum + share.net, 0));
  exactly(tax - taxes.reduce((sum, share) => sum + share.tax, 0));
  exactly(subtotal - discount - net - (pricesIncludeTax ? tax : 0));
  exactly(priceTotal - net - tax - cashRounding);
  return worst.check();
}
