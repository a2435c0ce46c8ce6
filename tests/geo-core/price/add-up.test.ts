import Big from 'big.js';
import { describe, expect, test } from 'vitest';
import type { PricesInput } from '#geo-core/model/price-book.ts';
import { addUp, lineAmount } from '#geo-core/price/add-up.ts';
import { readPriceBook } from '#geo-core/price/read-price-book.ts';

const priced = (prices: PricesInput, lines: readonly (readonly [amount: string, tax?: string])[]) =>
  addUp(
    lines.map(([amount, tax = 'standard']) => ({ amount: new Big(amount), tax })),
    readPriceBook(prices).book.terms,
  );

/** Example invoices of EN 16931-1:2017 as published with its validation rules (eInvoicing-EN16931, ubl-tc434-example1 and 2). */
describe('tax as in the example invoices of EN 16931', () => {
  test('example 1: 183.23 EUR at 6 % and 46.37 EUR at 21 % make 10.99 and 9.74 of tax, 250.33 in all', () => {
    const price = priced({ currency: 'EUR', taxPct: 21, taxes: { reduced: 6 } }, [['183.23', 'reduced'], ['46.37']]);
    expect(price.taxes).toEqual([
      { name: 'standard', pct: 21, net: 46.37, tax: 9.74 },
      { name: 'reduced', pct: 6, net: 183.23, tax: 10.99 },
    ]);
    expect(price).toMatchObject({ subtotal: 229.6, net: 229.6, tax: 20.73, taxPct: null, priceTotal: 250.33 });
  });

  test('example 2: a half goes up, 25 % of 1460.50 NOK are 365.13', () => {
    const prices: PricesInput = { currency: 'NOK', taxPct: 25, taxes: { food: 15 } };
    const price = priced(prices, [['1460.50'], ['1.00', 'food']]);
    expect(price.taxes.map(({ tax }) => tax)).toEqual([365.13, 0.15]);
    expect(price.tax).toBe(365.28);
    expect(priced({ ...prices, rounding: { half: 'even' } }, [['1460.50']]).tax).toBe(365.12);
  });
});

describe('prices that contain the tax', () => {
  test('19 % of what 119.00 contain are 19.00; of 100.00 they are 15.97 (100 x 19 / 119 = 15.966...)', () => {
    const prices: PricesInput = { taxPct: 19, pricesIncludeTax: true };
    expect(priced(prices, [['119']])).toMatchObject({ net: 100, tax: 19, priceTotal: 119 });
    expect(priced(prices, [['100']])).toMatchObject({ net: 84.03, tax: 15.97, subtotal: 100, priceTotal: 100 });
  });
});

describe('currencies', () => {
  test('dollars: 8.25 % of 99.99 are 8.25', () => {
    expect(priced({ currency: 'USD', taxPct: '8.25' }, [['99.99']])).toMatchObject({ tax: 8.25, priceTotal: 108.24 });
  });

  test('yen are whole: 10 % of 1,005 are 101 (half up) or 100 (half to even)', () => {
    const prices: PricesInput = { currency: 'JPY', taxPct: 10 };
    expect(priced(prices, [['1005']])).toMatchObject({ tax: 101, priceTotal: 1106, minorUnits: 0 });
    expect(priced({ ...prices, rounding: { half: 'even' } }, [['1005']]).tax).toBe(100);
  });

  test('dinars have three decimals: 5 % of 1.230 KWD are 0.062', () => {
    expect(priced({ currency: 'KWD', taxPct: 5 }, [['1.230']])).toMatchObject({ tax: 0.062, priceTotal: 1.292 });
  });

  test('francs paid in cash are rounded to 0.05, and the difference is said', () => {
    const prices: PricesInput = { currency: 'CHF', taxPct: '8.1', rounding: { cashStep: '0.05' } };
    expect(priced(prices, [['10.50']])).toMatchObject({ tax: 0.85, cashRounding: 0, priceTotal: 11.35 });
    expect(priced(prices, [['10.52']])).toMatchObject({ tax: 0.85, cashRounding: -0.02, priceTotal: 11.35 });
  });
});

describe('discounts and rounding', () => {
  test('the discount on everything is taken off before tax, rate by rate', () => {
    const prices: PricesInput = { taxPct: 20, taxes: { reduced: 5 }, discountPct: '2.5' };
    const price = priced(prices, [['100.00'], ['50.00'], ['33.33', 'reduced']]);
    // 2.5 % of 150.00 are 3.75, of 33.33 0.83; 5 % of 32.50 are 1.625.
    expect(price).toMatchObject({ subtotal: 183.33, discount: 4.58, net: 178.75, tax: 30.88, priceTotal: 209.63 });
    expect(price.taxes).toEqual([
      { name: 'standard', pct: 20, net: 146.25, tax: 29.25 },
      { name: 'reduced', pct: 5, net: 32.5, tax: 1.63 },
    ]);
  });

  test('three lines of 1.4 cents are three cents rounded by line and four by total', () => {
    const amounts = (at: 'line' | 'total') => {
      const { terms } = readPriceBook({ rounding: { at } }).book;
      const amount = lineAmount(new Big(1), new Big('0.014'), new Big(0), terms);
      return addUp(
        [1, 2, 3].map(() => ({ tax: 'standard', amount })),
        terms,
      ).priceTotal;
    };
    expect([amounts('line'), amounts('total')]).toEqual([0.03, 0.04]);
  });

  test('0.1 + 0.2 is 0.3, and 100,000 lines of a tenth are exact', () => {
    expect(priced({}, [['0.1'], ['0.2']]).priceTotal).toBe(0.3);
    const terms = readPriceBook({}).book.terms;
    const tenths = Array.from({ length: 100_000 }, () => ({ tax: 'standard', amount: new Big('0.1') }));
    expect(addUp(tenths, terms).priceTotal).toBe(10_000);
  });
});

describe('margins and what cannot be used', () => {
  test('a margin is a share of the selling price: 30 % on a cost of 7 make 10; what does not end has two decimals more', () => {
    const unitPrice = (prices: PricesInput) =>
      readPriceBook(prices)
        .book.items.find(({ code }) => code === 'peg')
        ?.unitPrice.toString();
    expect(unitPrice({ items: { peg: { price: 7, marginPct: 30 } } })).toBe('10');
    expect(unitPrice({ marginPct: 35, items: { peg: '0.1' } })).toBe('0.1538');
    expect(unitPrice({ currency: 'JPY', marginPct: 35, items: { peg: '10' } })).toBe('15.38');
  });

  test('a price of a spool has the margin, too; a spool of no length is said with its place', () => {
    const { book, findings } = readPriceBook({ marginPct: 50, spools: [{ lengthM: 100, price: '4' }, { lengthM: 0 }] });
    expect(book.spools.map(({ lengthM, price }) => [lengthM, price?.toString()])).toEqual([[100, '8']]);
    expect(findings.map(({ subject }) => subject)).toEqual(['/prices/spools/1/lengthM']);
  });

  test('text that is no decimal, a tax that no rate has: a caution with its JSON Pointer and a remedy', () => {
    const { findings } = readPriceBook({ discountPct: 'much', items: { wire: { price: '1', tax: 'a/b' } } });
    expect(findings.map(({ code, subject }) => [code, subject])).toEqual([
      ['take-off.price-not-usable', '/prices/discountPct'],
      ['take-off.no-such-tax', '/prices/items/wire/tax'],
    ]);
    for (const { advice } of findings) expect(advice).toMatch(/\w/);
  });
});
