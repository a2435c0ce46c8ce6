import Big from 'big.js';
import type { Price, TaxShare } from '#geo-core/model/take-off.ts';
import type { PriceTerms } from './read-price-book.ts';
import { divideMoney, roundMoney, roundToStep } from './round-money.ts';

/** A line as it is charged: its amount is exact, or rounded already where the terms round by line. */
export type ChargedLine = { readonly tax: string; readonly amount: Big };

/** quantity x price less its discount, rounded where the terms round by line. */
export function lineAmount(quantity: Big, unitPrice: Big, discountPct: Big, terms: PriceTerms): Big {
  const exact = quantity.times(unitPrice).times(new Big(100).minus(discountPct)).times('0.01');
  return terms.roundAt === 'line' ? roundMoney(exact, terms.minorUnits, terms.half) : exact;
}

/**
 * Lines -> subtotal, discount, tax by rate, total. Tax is worked out once a rate on the sum of its lines and rounded to the minor unit,
 * as invoices are by EN 16931-1:2017 (rules BR-CO-10 to BR-CO-17: sum of lines, allowance by rate, taxable amount, tax = amount x rate,
 * total); where prices contain the tax it is rate / (100 + rate) of them, and what is left is net. What is paid in cash is rounded last,
 * and the difference said (BT-114, rounding amount).
 */
export function addUp(lines: readonly ChargedLine[], terms: PriceTerms): Price {
  const { minorUnits, half, discountPct, pricesIncludeTax, currency } = terms;
  const round = (amount: Big): Big => roundMoney(amount, minorUnits, half);
  const none = new Big(0);
  let [subtotal, discount, netSum, taxSum] = [none, none, none, none];
  const taxes: TaxShare[] = [];
  for (const [name, pct] of terms.taxes) {
    const own = lines.filter(({ tax }) => tax === name);
    if (own.length === 0) continue;
    const sum = round(own.reduce((total, { amount }) => total.plus(amount), none));
    const off = round(sum.times(discountPct).times('0.01'));
    const charged = sum.minus(off);
    const tax = pricesIncludeTax
      ? divideMoney(charged.times(pct), pct.plus(100), minorUnits, half)
      : round(charged.times(pct).times('0.01'));
    const net = pricesIncludeTax ? charged.minus(tax) : charged;
    subtotal = subtotal.plus(sum);
    discount = discount.plus(off);
    netSum = netSum.plus(net);
    taxSum = taxSum.plus(tax);
    taxes.push({ name, pct: pct.toNumber(), net: net.toNumber(), tax: tax.toNumber() });
  }
  const exact = netSum.plus(taxSum);
  const paid = terms.cashStep === undefined ? exact : roundToStep(exact, terms.cashStep, half);
  return {
    subtotal: subtotal.toNumber(),
    discountPct: discountPct.toNumber(),
    discount: discount.toNumber(),
    net: netSum.toNumber(),
    taxes,
    tax: taxSum.toNumber(),
    taxPct: onlyRate(taxes, terms),
    pricesIncludeTax,
    cashRounding: paid.minus(exact).toNumber(),
    priceTotal: paid.toNumber(),
    currency,
    minorUnits,
  };
}

function onlyRate(taxes: readonly TaxShare[], terms: PriceTerms): number | null {
  if (taxes.length > 1) return null;
  return taxes[0]?.pct ?? (terms.taxes.values().next().value ?? new Big(0)).toNumber();
}
