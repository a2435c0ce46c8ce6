import Big from 'big.js';
import type { Half } from '#geo-core/model/price-book.ts';

/** An exact decimal rounded to `decimals` places. */
export function roundMoney(amount: Big, decimals: number, half: Half): Big {
  return amount.round(decimals, half === 'even' ? Big.roundHalfEven : Big.roundHalfUp);
}

/** A quotient rounded to `decimals` places. Quotients of decimals need not end: what is left over says on which side of a half it lies. */
export function divideMoney(dividend: Big, divisor: Big, decimals: number, half: Half): Big {
  const unit = new Big(10).pow(-decimals);
  const low = dividend.div(divisor).round(decimals, Big.roundDown);
  const rest = dividend.minus(low.times(divisor));
  const side = rest.times(2).cmp(divisor.times(unit));
  const isOdd = low.div(unit).mod(2).eq(1);
  return side > 0 || (side === 0 && (half === 'up' || isOdd)) ? low.plus(unit) : low;
}

/** Rounded to whole steps (0.05 where that is the smallest coin); the step is positive. */
export function roundToStep(amount: Big, step: Big, half: Half): Big {
  return divideMoney(amount, step, 0, half).times(step);
}
