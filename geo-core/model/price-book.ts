/**
 * Invented example prices in EUR without tax, and invented hours: they only show how an offer is built. A firm replaces the prices by its
 * own through `prices.items`, by code.
 */
export type PriceBookItem = {
  readonly code: PriceCode;
  readonly what: string;
  readonly group: 'material' | 'labour';
  readonly unit: 'm' | 'piece' | 'h';
  readonly unitPrice: number;
};

export const PRICE_CODES = [
  'wire',
  'spool',
  'peg',
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
  'labour-station',
  'labour-commissioning',
] as const;
export type PriceCode = (typeof PRICE_CODES)[number];

const material = (code: PriceCode, what: string, unit: 'm' | 'piece', unitPrice: number): PriceBookItem => ({
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
  unitPrice: 52,
});

export const PRICE_BOOK: {
  readonly currency: string;
  readonly taxPct: number;
  readonly items: readonly PriceBookItem[];
} = {
  currency: 'EUR',
  taxPct: 0,
  items: [
    material('wire', 'Boundary wire with spare ends and reserve', 'm', 0.45),
    material('spool', 'Spool of wire (its wire is priced by the metre)', 'piece', 0),
    material('peg', 'Peg', 'piece', 0.12),
    material('splice', 'Watertight splice at a spool end', 'piece', 2.4),
    material('end-connector', 'Connector at a wire end', 'piece', 1.5),
    material('supply-cable', 'Low-voltage cable to the charging station', 'm', 2.1),
    material('conduit', 'Conduit for wire under crossings', 'm', 3.8),
    material('station-screws', 'Set of ground screws for the charging station', 'piece', 9.5),
    material('signal-unit', 'Signal unit for ground of its own', 'piece', 180),
    material('warning-sign', 'Warning sign', 'piece', 6),
    labour('labour-setting-out', 'Set out, trial pegs and trial lap'),
    labour('labour-laying', 'Lay and peg the wire'),
    labour('labour-crossing', 'Cut or lift crossings and lay conduit'),
    labour('labour-station', 'Set the charging station, lay its cable, connect'),
    labour('labour-commissioning', 'Measure the loop, walk the line, instruct the customer'),
  ],
};

/** Invented hours a job takes. `PerM` counts metres of line: two touching wires of a lead are laid together. */
export const LABOUR_H = {
  settingOutPerM: 0.008,
  layingPerM: 0.02,
  perSplice: 0.1,
  crossingPerM: 0.5,
  perChargingStation: 1.5,
  perSignalUnit: 0.75,
  commissioningPerRoute: 1,
} as const;
