import { isCurrency } from '#geo-core/model/currency.ts';
import {
  HALVES,
  HOURS,
  type HourRate,
  MARGIN_MAX_PCT,
  type PricesInput,
  ROUNDING_PLACES,
  STANDARD_TAX,
} from '#geo-core/model/price-book.ts';
import { z } from './zod.ts';

/** A decimal from 0 to `max`: a JSON number, or text where it must be exact beyond 15 digits. */
function decimal(max: number) {
  const text = z
    .string()
    .max(31)
    .regex(/^\d{1,15}(\.\d{1,15})?$/, 'write a decimal as digits with a point, such as "12.50", or as a number')
    .refine((given) => !(Number(given) > max), `a decimal of ${max} or less is wanted`);
  return z.union([z.number().min(0).max(max), text]);
}

const price = decimal(1e9);
const pct = decimal(100);
const margin = decimal(MARGIN_MAX_PCT).describe(
  'share of the selling price that is not cost (%); prices are then costs',
);
const day = z.iso.date('a day is YYYY-MM-DD').exactOptional();
const hour = (rate: HourRate) =>
  decimal(1e4).exactOptional().describe(`hours: ${HOURS[rate].activity}; ${HOURS[rate].hours} where nothing is said`);

const item = z.strictObject({
  price: price.exactOptional(),
  what: z.string().min(1).max(200).exactOptional().describe('what the line says'),
  tax: z
    .string()
    .max(40)
    .exactOptional()
    .describe(`name of its rate: "${STANDARD_TAX}" is that of taxPct, others stand in taxes`),
  discountPct: pct.exactOptional(),
  marginPct: margin.exactOptional(),
});

const hours = z.strictObject({
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
});

/** A firm's prices: what a site holds as `prices`, and what the service keeps as a price book. */
export const pricesSchema = z
  .object({
    id: z.string().max(64).exactOptional().describe('id of the kept book; the service fills it in'),
    version: z.int().min(1).exactOptional().describe('version of the kept book; the service fills it in'),
    validFrom: day,
    validUntil: day,
    currency: z
      .string()
      .refine(isCurrency, 'a currency is three capital letters of ISO 4217, such as EUR or USD')
      .exactOptional()
      .describe('ISO 4217'),
    taxPct: pct.exactOptional().describe('tax on everything that names no other rate (%)'),
    taxes: z
      .record(z.string().min(1).max(40), pct)
      .refine((taxes) => Object.keys(taxes).length <= 20, 'at most 20 rates')
      .refine((taxes) => !Object.hasOwn(taxes, STANDARD_TAX), `"${STANDARD_TAX}" is the rate of taxPct: give it there`)
      .exactOptional()
      .describe('further rates by name (%)'),
    pricesIncludeTax: z.boolean().exactOptional(),
    rounding: z
      .strictObject({
        at: z.enum(ROUNDING_PLACES).exactOptional().describe('where amounts are rounded; line where nothing is said'),
        half: z.enum(HALVES).exactOptional().describe('where a half goes; up where nothing is said'),
        cashStep: decimal(1e6).exactOptional().describe('what is paid is a multiple of it'),
      })
      .exactOptional(),
    discountPct: pct.exactOptional().describe('off the sum of all lines (%)'),
    marginPct: margin.exactOptional(),
    items: z
      .record(z.string().max(80), z.union([price, item]))
      .exactOptional()
      .describe('unit price, or a price and its terms, by take-off item code'),
    spools: z
      .array(
        z.strictObject({
          lengthM: z.number().min(10).max(2000).multipleOf(0.1, 'a spool is given to the decimetre'),
          price: price.exactOptional(),
        }),
      )
      .max(8)
      .exactOptional()
      .describe('spools on offer; that of the rule set where there are none'),
    hours: hours.exactOptional(),
  })
  .superRefine(({ items, taxes, validFrom, validUntil }, context) => {
    const known = [STANDARD_TAX, ...Object.keys(taxes ?? {})];
    for (const [code, given] of Object.entries(items ?? {})) {
      if (typeof given !== 'object' || given.tax === undefined || known.includes(given.tax)) continue;
      const message = `no rate has this name: write one of ${known.join(', ')}, or add it to taxes`;
      context.addIssue({ code: 'custom', path: ['items', code, 'tax'], message });
    }
    if (validFrom !== undefined && validUntil !== undefined && validUntil < validFrom)
      context.addIssue({
        code: 'custom',
        path: ['validUntil'],
        message: `the last day lies before the first, ${validFrom}`,
      });
  })
  .describe('Prices of this firm, over the built-in ones.') satisfies z.ZodType<PricesInput>;
