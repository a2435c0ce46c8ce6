import Big from 'big.js';
import { minorUnits } from '#geo-core/model/currency.ts';
import type { Finding } from '#geo-core/model/finding.ts';
import {
  type Decimal,
  type Half,
  HOURS,
  type HourRate,
  MARGIN_MAX_PCT,
  PRICE_BOOK,
  PRICE_CODES,
  type PriceBookItem,
  type PriceCode,
  type PriceItemInput,
  type PricesInput,
  type RoundingPlace,
  STANDARD_TAX,
} from '#geo-core/model/price-book.ts';
import { pointerOf } from '#geo-core/model/problem.ts';
import { divideMoney } from './round-money.ts';

/** How the money of an offer is worked out, in exact decimals. */
export type PriceTerms = {
  readonly currency: string;
  /** Decimals of the currency. */
  readonly minorUnits: number;
  /** Percent by name of the rate. */
  readonly taxes: ReadonlyMap<string, Big>;
  readonly pricesIncludeTax: boolean;
  readonly roundAt: RoundingPlace;
  readonly half: Half;
  readonly cashStep: Big | undefined;
  /** Off the sum of all lines, percent. */
  readonly discountPct: Big;
};

export type PricedItem = Omit<PriceBookItem, 'unitPrice'> & {
  readonly unitPrice: Big;
  readonly tax: string;
  readonly discountPct: Big;
  /** The price is of the example book. */
  readonly isExample: boolean;
};

type SpoolOnOffer = { readonly lengthM: number; readonly price: Big | undefined };

export type PriceBook = {
  readonly terms: PriceTerms;
  readonly items: readonly PricedItem[];
  readonly spools: readonly SpoolOnOffer[];
  readonly hours: Readonly<Record<HourRate, Big>>;
};

/** Reads one decimal; what is none, or out of bounds, is a finding and undefined. */
type Read = (pointer: readonly string[], what: string, given: Decimal | undefined, max: number) => Big | undefined;

/**
 * A firm's prices over the example book -> what is reckoned with. The service refuses a book with errors, naming each place; what
 * comes in another way and cannot be used is a caution with its JSON Pointer, and the example stands in for it.
 */
export function readPriceBook(prices: PricesInput): {
  readonly book: PriceBook;
  readonly findings: readonly Finding[];
} {
  const findings: Finding[] = [];
  const read: Read = (pointer, what, given, max) => {
    if (given === undefined) return undefined;
    const value = decimalOf(given);
    if (value?.gte(0) && value.lte(max)) return value;
    findings.push(notUsable(pointer, what, given, max));
    return undefined;
  };
  const terms = readTerms(prices, read);
  sayUnknownCodes(prices, findings);
  const items = PRICE_BOOK.items.map((item) => readItem(item, prices, terms, read, findings));
  const hour = (rate: HourRate): Big =>
    read(['hours', rate], `Hours of ${rate}`, prices.hours?.[rate], 1e4) ?? new Big(HOURS[rate].hours);
  const hours = {
    settingOutPerM: hour('settingOutPerM'),
    layingSoftPerM: hour('layingSoftPerM'),
    layingFirmPerM: hour('layingFirmPerM'),
    layingHardPerM: hour('layingHardPerM'),
    perSplice: hour('perSplice'),
    crossingPerM: hour('crossingPerM'),
    perKeepOutLoop: hour('perKeepOutLoop'),
    supplyCablePerM: hour('supplyCablePerM'),
    perChargingStation: hour('perChargingStation'),
    perSignalUnit: hour('perSignalUnit'),
    commissioningPerRoute: hour('commissioningPerRoute'),
  };
  const spools = (prices.spools ?? []).flatMap(({ lengthM, price }, i): SpoolOnOffer[] => {
    if (!(lengthM >= 10 && lengthM <= 2000)) {
      findings.push(notUsable(['spools', String(i), 'lengthM'], 'A spool', lengthM, 2000));
      return [];
    }
    const own = read(['spools', String(i), 'price'], 'A price of a spool', price, 1e9);
    return [{ lengthM, price: own && sellingPrice(own, marginOf('spool', prices, read), terms) }];
  });
  return { book: { terms, items, spools, hours }, findings };
}

function readTerms(prices: PricesInput, read: Read): PriceTerms {
  const { rounding = {}, currency = PRICE_BOOK.currency } = prices;
  const standard = read(['taxPct'], 'A tax', prices.taxPct, 100) ?? new Big(0);
  const others = Object.entries(prices.taxes ?? {}).flatMap(([name, pct]) => {
    const value = read(['taxes', name], `The tax "${name}"`, pct, 100);
    return value === undefined ? [] : [[name, value] as const];
  });
  const cashStep = read(['rounding', 'cashStep'], 'A step of cash', rounding.cashStep, 1e6);
  return {
    currency,
    minorUnits: minorUnits(currency),
    taxes: new Map([[STANDARD_TAX, standard], ...others]),
    pricesIncludeTax: prices.pricesIncludeTax ?? false,
    roundAt: rounding.at ?? 'line',
    half: rounding.half ?? 'up',
    cashStep: cashStep?.gt(0) ? cashStep : undefined,
    discountPct: read(['discountPct'], 'A discount', prices.discountPct, 100) ?? new Big(0),
  };
}

/** Unit prices get two decimals more than amounts have, so that what a margin makes of a cost can be printed and reckoned with. */
const MORE_DECIMALS = 2;

function readItem(
  item: PriceBookItem,
  prices: PricesInput,
  terms: PriceTerms,
  read: Read,
  findings: Finding[],
): PricedItem {
  const given = prices.items?.[item.code];
  const own: PriceItemInput = typeof given === 'object' ? given : given === undefined ? {} : { price: given };
  const at = (member: string): string[] =>
    typeof given === 'object' ? ['items', item.code, member] : ['items', item.code];
  const ownPrice = read(at('price'), `A price for ${item.what.toLowerCase()}`, own.price, 1e9);
  const price = ownPrice ?? new Big(item.unitPrice);
  const selling = sellingPrice(price, marginOf(item.code, prices, read), terms);
  const tax = own.tax ?? STANDARD_TAX;
  if (!terms.taxes.has(tax)) findings.push(noSuchTax(at('tax'), tax, [...terms.taxes.keys()]));
  return {
    ...item,
    what: own.what ?? item.what,
    unitPrice: selling,
    tax: terms.taxes.has(tax) ? tax : STANDARD_TAX,
    discountPct: read(at('discountPct'), 'A discount', own.discountPct, 100) ?? new Big(0),
    isExample: ownPrice === undefined,
  };
}

/** Its own margin, or that of the book. */
function marginOf(code: PriceCode, prices: PricesInput, read: Read): Big | undefined {
  const given = prices.items?.[code];
  const own = typeof given === 'object' ? given.marginPct : undefined;
  return (
    read(['items', code, 'marginPct'], 'A margin', own, MARGIN_MAX_PCT) ??
    read(['marginPct'], 'A margin', prices.marginPct, MARGIN_MAX_PCT)
  );
}

/** Cost / (1 - margin): the margin is a share of the selling price, not of the cost. Without a margin the price stands as it is given. */
function sellingPrice(cost: Big, marginPct: Big | undefined, { minorUnits: decimals, half }: PriceTerms): Big {
  if (marginPct === undefined || marginPct.eq(0)) return cost;
  return divideMoney(cost.times(100), new Big(100).minus(marginPct), decimals + MORE_DECIMALS, half);
}

function decimalOf(given: Decimal): Big | undefined {
  const text = String(given).trim();
  return /^\d{1,15}(\.\d{1,15})?(e[+-]?\d{1,2})?$/i.test(text) ? new Big(text) : undefined;
}

function notUsable(pointer: readonly string[], what: string, given: Decimal, max: number): Finding {
  return {
    code: 'take-off.price-not-usable',
    severity: 'caution',
    message: `${what} of ${String(given).slice(0, 40)} cannot be used; what stands in the example price book is taken instead.`,
    advice: `Give a number from 0 to ${max}, as a JSON number or as text.`,
    subject: pointerOf(['prices', ...pointer]),
  };
}

function noSuchTax(pointer: readonly string[], name: string, known: readonly string[]): Finding {
  return {
    code: 'take-off.no-such-tax',
    severity: 'caution',
    message: `The tax "${name.slice(0, 40)}" is not among the rates of the price book; the standard rate is taken instead.`,
    advice: `Name one of ${known.join(', ')}, or add the rate to "taxes".`,
    subject: pointerOf(['prices', ...pointer]),
  };
}

function sayUnknownCodes(prices: PricesInput, findings: Finding[]): void {
  const known = new Set<string>(PRICE_CODES satisfies readonly PriceCode[]);
  for (const code of Object.keys(prices.items ?? {})) {
    if (known.has(code)) continue;
    findings.push({
      code: 'take-off.unknown-price-code',
      severity: 'caution',
      message: `The price of "${code}" is not used: the take-off has no such line.`,
      advice: `Use one of ${PRICE_CODES.join(', ')}.`,
      subject: pointerOf(['prices', 'items', code]),
    });
  }
}
