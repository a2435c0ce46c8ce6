import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PRICE_BOOK, PRICE_CODES, type PricesInput } from '#geo-core/model/price-book.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import { type SetOutInput, setOut } from '#geo-core/stages/60-set-out.ts';
import { type TakeOffInput, takeOff } from '#geo-core/stages/65-take-off.ts';
import { goldenGarden, goldenRules, rectangle, ring } from '../../support/golden-garden.ts';

const garden = goldenGarden();

function inputWith(
  prices: PricesInput,
  change: Partial<SetOutInput & TakeOffInput> = {},
  rules = goldenRules,
): TakeOffInput {
  const { lawn, zones, route, stations } = garden;
  const laid = { site: { ...garden.site, prices }, lawn, zones, route, stations, slopeCheck: undefined, ...change };
  const settingOut = setOut(laid, rules).output;
  return { settingOut, ...laid };
}

const quantity = (plan: TakeOff, code: string): number | undefined =>
  plan.lines.find((line) => line.code === code)?.quantity;
const cents = (amount: number): bigint => BigInt(Math.round(amount * 100));

describe('the golden garden, worked by hand', () => {
  const { output, findings } = takeOff(inputWith({}), goldenRules);

  test('material: (74.8 + 2 x 1) m x 1.05 of wire, 99 pegs, two spools of 50 m with one splice', () => {
    expect(output.lines.filter(({ group }) => group === 'material').map(({ code, quantity: q }) => [code, q])).toEqual([
      ['wire', 80.64],
      ['spool', 2],
      ['peg', 99],
      ['splice', 1],
      ['end-connector', 2],
      ['station-screws', 1],
      ['warning-sign', 1],
    ]);
  });

  test('labour by 71.4 m of line (a lead counts once), rounded up to hundredths of an hour', () => {
    expect(output.lines.filter(({ group }) => group === 'labour').map(({ code, quantity: q }) => [code, q])).toEqual([
      ['labour-setting-out', 0.58],
      ['labour-laying', 1.53],
      ['labour-keep-out', 0.1],
      ['labour-station', 1.5],
      ['labour-commissioning', 1],
    ]);
  });

  test('amounts: quantity x price to the cent, and their sum', () => {
    const amounts = output.lines.map(({ amount }) => amount);
    expect(amounts).toEqual([36.29, 0, 11.88, 2.4, 3, 9.5, 6, 30.16, 79.56, 5.2, 78, 52]);
    expect(output).toMatchObject({ net: 313.99, tax: 0, taxPct: 0, priceTotal: 313.99, currency: 'EUR' });
  });

  test('says that the prices are invented', () => {
    expect(findings).toMatchObject([{ code: 'take-off.example-prices', severity: 'note', value: 11 }]);
  });

  test('lines stand in the order of the price book', () => {
    const order = output.lines.map(({ code }) => PRICE_BOOK.items.findIndex((item) => item.code === code));
    expect(order).toEqual(order.toSorted((a, b) => a - b));
  });
});

describe('what is counted', () => {
  test('supply cable by its line, a signal unit for every route without a charging station', () => {
    const stations = { ...garden.stations, supplyCable: Float64Array.of(0, 0, 3, 4, 3, 10) };
    const second = { ...garden.route.routes[0], id: 'route-2', signalUnit: 2 };
    const route = { ...garden.route, routes: [...garden.route.routes, second] };
    const { output } = takeOff(inputWith({}, { stations, route }), goldenRules);
    expect(quantity(output, 'supply-cable')).toBe(11);
    expect(quantity(output, 'wire')).toBe(161.28);
    expect(quantity(output, 'signal-unit')).toBe(1);
    expect(quantity(output, 'station-screws')).toBe(1);
    expect(quantity(output, 'labour-station')).toBe(2.58);
  });

  test('conduit under a crossing 1.2 m wide: wire on both sides of the lawn, a lead once', () => {
    const crossing = (west: number) => ({ outer: rectangle(west, -1, west + 1.2, 11), holes: [] });
    const across = { ...garden.lawn, crossings: [crossing(3)] };
    expect(quantity(takeOff(inputWith({}, { lawn: across }), goldenRules).output, 'conduit')).toBe(2.4);
    const lead = { ...garden.lawn, crossings: [{ outer: ring([9, 1], [11, 1], [11, 3], [9, 3]), holes: [] }] };
    expect(quantity(takeOff(inputWith({}, { lawn: lead }), goldenRules).output, 'conduit')).toBe(2);
  });

  test('nothing laid: no lines, nothing to pay', () => {
    const nothing = takeOff(
      inputWith(
        {},
        {
          route: { leads: [], routes: [] },
          stations: { stations: [], candidates: [] },
        },
      ),
      goldenRules,
    );
    expect(nothing.findings).toEqual([]);
    expect(nothing.output).toMatchObject({
      lines: [],
      labour: [],
      spools: [],
      net: 0,
      tax: 0,
      taxPct: 0,
      priceTotal: 0,
    });
  });
});

describe('own prices', () => {
  test('half a cent is rounded up, in decimals: 99 pegs at 0.005 are 0.50, and 99 x 1.005 are 99.50', () => {
    const amount = (price: number): number | undefined =>
      takeOff(inputWith({ items: { peg: price } }), goldenRules).output.lines.find(({ code }) => code === 'peg')
        ?.amount;
    expect(amount(0.005)).toBe(0.5);
    expect(amount(1.005)).toBe(99.5);
  });

  test('tax is rounded once, on the net total', () => {
    const items = Object.fromEntries(PRICE_CODES.map((code) => [code, code === 'end-connector' ? 5.25 : 0]));
    const { output, findings } = takeOff(inputWith({ currency: 'CHF', taxPct: 8.1, items }), goldenRules);
    expect(output).toMatchObject({ net: 10.5, tax: 0.85, taxPct: 8.1, priceTotal: 11.35, currency: 'CHF' });
    expect(findings).toEqual([]);
  });

  test('example prices added up in another currency are a caution', () => {
    const { findings } = takeOff(inputWith({ currency: 'SEK', items: { wire: 6 } }), goldenRules);
    expect(findings).toMatchObject([{ code: 'take-off.example-prices', severity: 'caution', value: 10 }]);
  });

  test('a code the take-off does not have is a finding with its JSON Pointer', () => {
    const { findings } = takeOff(inputWith({ items: { 'wire/blue~1': 2 } }), goldenRules);
    expect(findings[0]).toMatchObject({
      code: 'take-off.unknown-price-code',
      severity: 'caution',
      subject: '/prices/items/wire~1blue~01',
    });
  });

  test('what is no price is not used', () => {
    const { output, findings } = takeOff(inputWith({ taxPct: Number.NaN, items: { peg: -1 } }), goldenRules);
    expect(findings.filter(({ code }) => code === 'take-off.price-not-usable').map(({ subject }) => subject)).toEqual([
      '/prices/taxPct',
      '/prices/items/peg',
    ]);
    expect(output.lines.find(({ code }) => code === 'peg')?.unitPrice).toBe(0.12);
    expect(output.taxPct).toBe(0);
  });

  test('sums are exact to the cent for any prices (seeded)', () => {
    const price = fc.integer({ min: 0, max: 9_999_999 }).map((thousandths) => thousandths / 1000);
    const items = fc.record(Object.fromEntries(PRICE_CODES.map((code) => [code, price])));
    const taxPct = fc.integer({ min: 0, max: 300 }).map((tenths) => tenths / 10);
    fc.assert(
      fc.property(items, taxPct, (own, tax) => {
        const { output } = takeOff(inputWith({ items: own, taxPct: tax }), goldenRules);
        const sum = output.lines.reduce((total, { amount }) => total + cents(amount), 0n);
        expect(cents(output.net)).toBe(sum);
        expect(cents(output.priceTotal)).toBe(sum + cents(output.tax));
        const exactTaxTimes1000 = sum * BigInt(Math.round(tax * 10));
        expect(cents(output.tax)).toBe((exactTaxTimes1000 + 500n) / 1000n);
        for (const { amount, quantity: count, unitPrice } of output.lines) {
          const exact = BigInt(Math.round(count * 100)) * BigInt(Math.round(unitPrice * 1000));
          expect(cents(amount)).toBe((exact + 500n) / 1000n);
        }
      }),
      { seed: 66, numRuns: 200 },
    );
  });
});

test('the price book has one line for every code', () => {
  expect(PRICE_BOOK.items.map(({ code }) => code)).toEqual([...PRICE_CODES]);
});
