import type { AuditCheck } from '#geo-core/model/plane-plan.ts';
import type { Evidence } from './evidence.ts';
import { worstCase } from './worst-case.ts';

/** Half a cent, and what is lost when a decimal amount is held in binary. */
const HALF_CENT = 0.005 + 1e-9;

/**
 * Each amount is quantity x unit price, the amounts make the net sum, the tax is its share, net and tax make the total:
 * each to the cent. Worst is the largest difference, in the currency of the plan.
 */
export function checkAmountsAddUp({ takeOff }: Evidence): AuditCheck {
  const { lines, net, tax, taxPct, priceTotal, currency } = takeOff;
  const worst = worstCase('amounts-add-up', currency, HALF_CENT);
  for (const line of lines) worst.see(Math.abs(line.amount - line.quantity * line.unitPrice));
  worst.see(Math.abs(net - lines.reduce((sum, line) => sum + line.amount, 0)));
  worst.see(Math.abs(tax - (net * taxPct) / 100));
  worst.see(Math.abs(priceTotal - net - tax));
  return worst.check();
}
