import fc from 'fast-check';
import { expect, it } from 'vitest';
import { planSite } from '#geo-core/index.ts';
import type { PricesInput } from '#geo-core/model/price-book.ts';
import { GROUNDS, type SiteInput } from '#geo-core/model/site.ts';
import { useKernel } from '../support/load-kernel.ts';
import { siteOf } from './drawing.ts';
import { anyGarden, anyRules, placement } from './gardens.ts';
import { takeOffContradictions } from './reckon-again.ts';
import { CASES, everyCase, LIMIT_MS } from './run-properties.ts';

useKernel();

const MATERIALS =
  'wire spool peg peg-soft-ground peg-hard-ground splice end-connector supply-cable conduit station-screws signal-unit warning-sign';
const WORK = 'setting-out laying crossing keep-out station commissioning';
const RATES =
  'settingOutPerM layingSoftPerM layingFirmPerM layingHardPerM perSplice crossingPerM perKeepOutLoop supplyCablePerM perChargingStation perSignalUnit commissioningPerRoute';
const CODES = [...MATERIALS.split(' '), ...WORK.split(' ').map((work) => `labour-${work}`)];

/** A decimal with up to `places` places, as text or as a number. */
const decimal = (max: number, places: number) =>
  fc
    .tuple(fc.integer({ min: 0, max: max * 10 ** places }), fc.boolean())
    .map(([whole, isText]) =>
      isText ? (whole / 10 ** places).toFixed(places) : Number((whole / 10 ** places).toFixed(places)),
    );
const pct = decimal(40, 2);
const item = fc.oneof(
  decimal(500, 3),
  fc.record(
    { price: decimal(500, 4), tax: fc.constantFrom('standard', 'reduced', 'none'), discountPct: pct, marginPct: pct },
    { requiredKeys: ['price'] },
  ),
);
/** A book that names every price and every hour, so that nothing of the example book is left. */
const anyBook: fc.Arbitrary<PricesInput> = fc
  .tuple(
    fc.record({
      currency: fc.constantFrom('EUR', 'USD', 'JPY', 'KWD'),
      taxPct: pct,
      taxes: fc.record({ reduced: pct, none: fc.constant(0) }),
      pricesIncludeTax: fc.boolean(),
      items: fc.record(Object.fromEntries(CODES.map((code) => [code, item]))),
      hours: fc.record(Object.fromEntries(RATES.split(' ').map((rate) => [rate, decimal(2, 3)]))),
    }),
    fc.record(
      {
        rounding: fc.record(
          {
            at: fc.constantFrom('line', 'total'),
            half: fc.constantFrom('up', 'even'),
            cashStep: fc.constantFrom('0.05', 5, '0.25'),
          },
          { requiredKeys: [] },
        ),
        discountPct: pct,
        marginPct: pct,
        spools: fc
          .uniqueArray(fc.integer({ min: 10, max: 60 }), { minLength: 1, maxLength: 4 })
          .map((sizes) => sizes.map((lengthM, i) => (i % 2 === 0 ? { lengthM, price: '3.99' } : { lengthM }))),
      },
      { requiredKeys: [] },
    ),
  )
  .map(([always, sometimes]) => ({ ...always, ...sometimes }));

/** The take-off of any garden with any book, by any rules, reckoned again from the plan's GeoJSON and the book alone. */
it(`reckons every figure of the take-off again: ${CASES.takeOffAgain} plans`, { timeout: LIMIT_MS }, () => {
  let priced = 0;
  everyCase(
    CASES.takeOffAgain,
    [anyGarden, anyRules, placement, anyBook, fc.constantFrom(...GROUNDS)],
    (drawing, rules, place, prices, ground) => {
      const site = siteOf(drawing, place);
      const plan = planSite({ ...site, prices, features: onGround(site, ground) }, rules);
      if (plan.takeoff.lines.length > 0) priced++;
      expect(takeOffContradictions(plan, prices)).toEqual([]);
    },
  );
  expect(priced).toBeGreaterThan(CASES.takeOffAgain / 3);
});

function onGround({ features }: SiteInput, ground: string): SiteInput['features'] {
  return features.map((feature, i) =>
    feature.properties?.kind === 'lawn' && i % 2 === 0
      ? { ...feature, properties: { ...feature.properties, ground } }
      : feature,
  );
}
