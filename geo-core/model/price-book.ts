import type { Ground } from './site.ts';

/** A decimal as it is written: text, or a JSON number, which is read by its shortest decimal form (exact up to 15 digits). */
export type Decimal = number | string;

/** A firm's price book, as a site holds it in `prices`: everything optional, over the example book below. */
export type PricesInput = {
  /** Which kept book this is, and which version of it; the service fills both in. */
  readonly id?: string;
  readonly version?: number;
  /** First and last day on which the prices hold, YYYY-MM-DD. */
  readonly validFrom?: string;
  readonly validUntil?: string;
  /** ISO 4217. */
  readonly currency?: string;
  /** Tax on everything that names no other rate. */
  readonly taxPct?: Decimal;
  /** Further rates by name, which items may give as their `tax`. */
  readonly taxes?: Readonly<Record<string, Decimal>>;
  /** True where the prices of the book contain the tax. */
  readonly pricesIncludeTax?: boolean;
  readonly rounding?: RoundingInput;
  /** Off every line, and off the sum of all lines. */
  readonly discountPct?: Decimal;
  /** Share of a selling price that is not cost; the prices of the book are then costs. */
  readonly marginPct?: Decimal;
  readonly items?: Readonly<Record<string, Decimal | PriceItemInput>>;
  /** Sizes of spool on offer; the rule set's `spoolM` where there are none. */
  readonly spools?: readonly { readonly lengthM: number; readonly price?: Decimal }[];
  /** Hours that work takes, by rate. */
  readonly hours?: { readonly [Rate in HourRate]?: Decimal };
};
/** `line`: every amount is rounded; `total`: only sums are. `cashStep`: what is paid is a multiple of it. */
type RoundingInput = { readonly at?: RoundingPlace; readonly half?: Half; readonly cashStep?: Decimal };
export const ROUNDING_PLACES = ['line', 'total'] as const;
export type RoundingPlace = (typeof ROUNDING_PLACES)[number];
export type PriceItemInput = {
  readonly price?: Decimal;
  readonly what?: string;
  readonly tax?: string;
  readonly discountPct?: Decimal;
  readonly marginPct?: Decimal;
};

/**
 * What happens to a half: `up` takes the larger number (ISO 80000-1, B.3, rule B; commercial rounding), `even` the even one (rule A;
 * IEEE 754 roundTiesToEven). Amounts are never negative here.
 */
export const HALVES = ['up', 'even'] as const;
export type Half = (typeof HALVES)[number];

/** A margin of 100 % has no price. */
export const MARGIN_MAX_PCT = 99.9;

/** The name of the rate that `taxPct` gives. */
export const STANDARD_TAX = 'standard';

export const PRICE_CODES = [
  'wire',
  'spool',
  'peg',
  'peg-soft-ground',
  'peg-hard-ground',
  'splice',
  'end-connector',
  'supply-cable',
  'conduit',
  'station-screws',
  'signal-unit',
  'warning-sign',
  'labour-setting-out',
  'labour-laying',
  'labour-crossing',
  'labour-keep-out',
  'labour-station',
  'labour-commissioning',
] as const;
export type PriceCode = (typeof PRICE_CODES)[number];

/**
 * Invented example prices in EUR without tax: they only show how an offer is built. A firm replaces them by its own through
 * `prices.items`, by code.
 */
export type PriceBookItem = {
  readonly code: PriceCode;
  readonly what: string;
  readonly group: 'material' | 'labour';
  readonly unit: 'm' | 'piece' | 'h';
  readonly unitPrice: string;
};

const material = (code: PriceCode, what: string, unit: 'm' | 'piece', unitPrice: string): PriceBookItem => ({
  code,
  what,
  group: 'material',
  unit,
  unitPrice,
});
const labour = (code: PriceCode, what: string): PriceBookItem => ({
  code,
  what,
  group: 'labour',
  unit: 'h',
  unitPrice: '52',
});

export const PRICE_BOOK: { readonly currency: string; readonly items: readonly PriceBookItem[] } = {
  currency: 'EUR',
  items: [
    material('wire', 'Boundary wire with spare ends, slack at corners and reserve', 'm', '0.45'),
    material('spool', 'Spool of wire (its wire is priced by the metre)', 'piece', '0'),
    material('peg', 'Peg', 'piece', '0.12'),
    material('peg-soft-ground', 'Long peg for soft ground', 'piece', '0.2'),
    material('peg-hard-ground', 'Steel peg for hard ground', 'piece', '0.35'),
    material('splice', 'Watertight splice at a spool end', 'piece', '2.4'),
    material('end-connector', 'Connector at a wire end', 'piece', '1.5'),
    material('supply-cable', 'Low-voltage cable to the charging station', 'm', '2.1'),
    material('conduit', 'Conduit for wire under crossings', 'm', '3.8'),
    material('station-screws', 'Set of ground screws for the charging station', 'piece', '9.5'),
    material('signal-unit', 'Signal unit for ground of its own', 'piece', '180'),
    material('warning-sign', 'Warning sign', 'piece', '6'),
    labour('labour-setting-out', 'Set out, trial pegs and trial lap'),
    labour('labour-laying', 'Lay, peg and splice the wire'),
    labour('labour-crossing', 'Cut or lift crossings and lay conduit'),
    labour('labour-keep-out', 'Close loops around keep-outs'),
    labour('labour-station', 'Set the charging station, lay its cable, connect'),
    labour('labour-commissioning', 'Measure the loop, walk the line, instruct the customer'),
  ],
};

/**
 * Invented hours that work takes, each in the line of labour that it is counted in. Metres are metres of line: two touching wires of a
 * lead are laid together.
 */
export const HOURS = {
  settingOutPerM: { hours: '0.008', code: 'labour-setting-out', activity: 'set out and peg for the trial lap' },
  layingSoftPerM: { hours: '0.016', code: 'labour-laying', activity: 'lay and peg', ground: 'soft' },
  layingFirmPerM: { hours: '0.02', code: 'labour-laying', activity: 'lay and peg', ground: 'firm' },
  layingHardPerM: { hours: '0.035', code: 'labour-laying', activity: 'lay and peg', ground: 'hard' },
  perSplice: { hours: '0.1', code: 'labour-laying', activity: 'splice' },
  crossingPerM: { hours: '0.5', code: 'labour-crossing', activity: 'pass under crossings' },
  perKeepOutLoop: { hours: '0.1', code: 'labour-keep-out', activity: 'close a loop around a keep-out' },
  supplyCablePerM: { hours: '0.03', code: 'labour-station', activity: 'lay the supply cable' },
  perChargingStation: { hours: '1.5', code: 'labour-station', activity: 'set and connect a charging station' },
  perSignalUnit: { hours: '0.75', code: 'labour-station', activity: 'set and connect a signal unit' },
  commissioningPerRoute: { hours: '1', code: 'labour-commissioning', activity: 'commission a route' },
} as const satisfies Record<string, { hours: string; code: PriceCode; activity: string; ground?: Ground }>;
export type HourRate = keyof typeof HOURS;
