import type { Ground } from './site.ts';

/** What is counted, cut and charged: lengths in metres, hours, money in units of the currency. */

type PartKind = 'boundary' | 'keep-out' | 'lead';

/** A stretch of the route on ground of one kind, chainages in metres. `shared`: the way back of a lead, beside the wire laid on the way out. */
export type LaidStretch = {
  readonly signalUnit: number;
  readonly fromM: number;
  readonly toM: number;
  readonly of: PartKind;
  readonly id: string;
  readonly over: Ground | 'crossing';
  readonly shared: boolean;
};

/** Wire of one loop or lead (both ways) on a route; metres. */
export type WirePart = {
  readonly signalUnit: number;
  readonly of: PartKind;
  readonly id: string;
  readonly lengthM: number;
  /** With the slopes; null = not known. */
  readonly groundLengthM: number | null;
  readonly corners: number;
};

/** A spool: what it lays by chainage, how much of it that takes (spares and reserve included) and what is left; metres. */
export type SpoolUse = {
  readonly spool: number;
  readonly lengthM: number;
  readonly usedM: number;
  readonly leftM: number;
  readonly lays: readonly { readonly signalUnit: number; readonly fromM: number; readonly toM: number }[];
};

/** Wire to order for a route; metres. orderM = (groundLengthM, or lengthM where that is not known, + cornersM + endsM) x (1 + reserve). */
export type WireOrder = {
  readonly signalUnit: number;
  readonly lengthM: number;
  readonly groundLengthM: number | null;
  readonly cornersM: number;
  readonly endsM: number;
  readonly reserveM: number;
  readonly orderM: number;
};

/** Work of one kind: quantity x hoursEach = hours, which count in the line of `code`. */
export type LabourItem = {
  readonly code: string;
  readonly activity: string;
  readonly ground: Ground | null;
  readonly quantity: number;
  readonly unit: 'm' | 'piece';
  readonly hoursEach: number;
  readonly hours: number;
};

/** 65-take-off. `code` names an item of the price book; amount = quantity x unitPrice less its discount. */
export type TakeOffLine = {
  readonly code: string;
  readonly what: string;
  readonly group: 'material' | 'labour';
  readonly quantity: number;
  readonly unit: 'm' | 'piece' | 'h';
  readonly unitPrice: number;
  readonly discountPct: number;
  /** Name of the rate in `taxes`. */
  readonly tax: string;
  readonly amount: number;
};

/** The tax of one rate: on `net`, which has its share of the discount on everything taken off. */
export type TaxShare = { readonly name: string; readonly pct: number; readonly net: number; readonly tax: number };

/** Money of a plan. subtotal - discount = net, or net + tax where prices contain it; net + tax + cashRounding = priceTotal. */
export type Price = {
  readonly subtotal: number;
  readonly discountPct: number;
  readonly discount: number;
  readonly net: number;
  readonly taxes: readonly TaxShare[];
  readonly tax: number;
  /** null = there are several rates. */
  readonly taxPct: number | null;
  readonly pricesIncludeTax: boolean;
  readonly cashRounding: number;
  readonly priceTotal: number;
  readonly currency: string;
  /** Decimals of the currency (ISO 4217). */
  readonly minorUnits: number;
};

/** The book a plan was priced with; null = not told. */
type PriceBookUsed = {
  readonly id: string | null;
  readonly version: number | null;
  readonly validFrom: string | null;
  readonly validUntil: string | null;
};

export type TakeOff = Price & {
  readonly lines: readonly TakeOffLine[];
  readonly labour: readonly LabourItem[];
  readonly wire: readonly WireOrder[];
  readonly parts: readonly WirePart[];
  readonly stretches: readonly LaidStretch[];
  readonly spools: readonly SpoolUse[];
  readonly priceBook: PriceBookUsed;
};
