import Big from 'big.js';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  JoinedRoute,
  LaidLoops,
  SettingOut,
  SitedStations,
  TakeOff,
  TakeOffLine,
} from '#geo-core/model/plane-plan.ts';
import { LABOUR_H, PRICE_BOOK, PRICE_CODES, type PriceBookItem, type PriceCode } from '#geo-core/model/price-book.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite, PricesInput } from '#geo-core/model/site.ts';
import { lengthInsideM } from '#geo-core/plane/length-inside.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { closedLine } from '#geo-core/plane/polygons.ts';

export type TakeOffInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly loops: LaidLoops;
  readonly route: JoinedRoute;
  readonly stations: SitedStations;
  readonly settingOut: SettingOut;
};

/** Money is rounded half up to hundredths of the currency, by line; the net total is the exact sum of the lines. */
const MONEY_PLACES = 2;
/** Lengths and hours are rounded up to hundredths, after the dust of floating point (below a micrometre) is taken off. */
const QUANTITY_PLACES = 2;
const DUST_PLACES = 6;

/**
 * Everything laid -> materials, labour, price. Lines stand in the order of the price book, those of quantity 0 are left out. Prices
 * come from the site (`prices.items` by code), else from the example price book, which is said in a finding.
 */
export function takeOff(input: TakeOffInput, rules: Rules): Staged<TakeOff> {
  const findings: Finding[] = [];
  const { prices } = input.site;
  sayUnknownCodes(prices, findings);
  const quantities = quantitiesOf(input, rules);
  const lines = PRICE_BOOK.items.flatMap((item) => priceLine(item, quantities[item.code], prices, findings));
  const net = lines.reduce((sum, line) => sum.plus(line.amount), new Big(0));
  const taxPct = usableTaxPct(prices, findings);
  const tax = net.times(taxPct).div(100).round(MONEY_PLACES, Big.roundHalfUp);
  const currency = prices.currency ?? PRICE_BOOK.currency;
  sayExamplePrices(lines, prices, currency, findings);
  return {
    output: {
      lines,
      net: net.toNumber(),
      tax: tax.toNumber(),
      taxPct,
      priceTotal: net.plus(tax).toNumber(),
      currency,
    },
    findings,
  };
}

/** Metres, pieces and hours by code. A charging station drives the wire of its own route; every other route needs a signal unit. */
function quantitiesOf(input: TakeOffInput, rules: Rules): Record<PriceCode, number> {
  const { lawn, loops, route, stations, settingOut } = input;
  const { routes, leads } = route;
  const routeM = routes.reduce((sum, { lengthM }) => sum + lengthM, 0);
  const lineM = routeM - leads.reduce((sum, { lengthM }) => sum + lengthM, 0);
  const wireM = (routeM + 2 * rules.endSpareM * routes.length) * (1 + rules.reservePct / 100);
  const conduitM = crossedM(lawn, loops, route);
  const charging = stations.stations.filter(({ role }) => role === 'charging').length;
  const signalUnits = Math.max(0, routes.length - charging);
  return {
    wire: wireM,
    spool: settingOut.spoolCount,
    peg: settingOut.pegs.length,
    splice: settingOut.splices.length,
    'end-connector': 2 * routes.length,
    'supply-cable': stations.supplyCable === undefined ? 0 : lineLengthM(stations.supplyCable),
    conduit: conduitM,
    'station-screws': charging,
    'signal-unit': signalUnits,
    'warning-sign': routes.length,
    'labour-setting-out': LABOUR_H.settingOutPerM * lineM,
    'labour-laying': LABOUR_H.layingPerM * lineM + LABOUR_H.perSplice * settingOut.splices.length,
    'labour-crossing': LABOUR_H.crossingPerM * conduitM,
    'labour-station': LABOUR_H.perChargingStation * charging + LABOUR_H.perSignalUnit * signalUnits,
    'labour-commissioning': LABOUR_H.commissioningPerRoute * routes.length,
  };
}

/** Metres of line that lie in crossings: loops, and leads once, since their two wires share a conduit. */
function crossedM(lawn: DerivedLawn, loops: LaidLoops, route: JoinedRoute): number {
  if (lawn.crossings.length === 0) return 0;
  const lines = [...loops.loops.map(({ ring }) => closedLine(ring)), ...route.leads.map(({ line }) => line)];
  return lines.reduce((sum, line) => sum + lengthInsideM(line, lawn.crossings), 0);
}

function priceLine(item: PriceBookItem, amountOf: number, prices: PricesInput, findings: Finding[]): TakeOffLine[] {
  const dusted = new Big(amountOf).round(DUST_PLACES, Big.roundHalfUp);
  const quantity = item.unit === 'piece' ? dusted : dusted.round(QUANTITY_PLACES, Big.roundUp);
  if (quantity.lte(0)) return [];
  const unitPrice = unitPriceOf(item, prices, findings);
  const amount = quantity.times(unitPrice).round(MONEY_PLACES, Big.roundHalfUp);
  return [
    {
      code: item.code,
      what: item.what,
      group: item.group,
      quantity: quantity.toNumber(),
      unit: item.unit,
      unitPrice,
      amount: amount.toNumber(),
    },
  ];
}

function unitPriceOf(item: PriceBookItem, prices: PricesInput, findings: Finding[]): number {
  const own = prices.items?.[item.code];
  if (own === undefined) return item.unitPrice;
  if (usable(own)) return own;
  findings.push(
    priceNotUsable(
      `A price for ${item.what.toLowerCase()}`,
      `/prices/items/${item.code}`,
      own,
      `${item.unitPrice} of the example price book`,
    ),
  );
  return item.unitPrice;
}

function usableTaxPct(prices: PricesInput, findings: Finding[]): number {
  const own = prices.taxPct;
  if (own === undefined || usable(own)) return own ?? PRICE_BOOK.taxPct;
  findings.push(priceNotUsable('A tax', '/prices/taxPct', own, `${PRICE_BOOK.taxPct} %`));
  return PRICE_BOOK.taxPct;
}

function usable(price: number): boolean {
  return Number.isFinite(price) && price >= 0;
}

function priceNotUsable(what: string, subject: string, given: number, taken: string): Finding {
  return {
    code: 'take-off.price-not-usable',
    severity: 'caution',
    message: `${what} of ${given} cannot be used; ${taken} is taken instead.`,
    advice: 'Give a number of at least 0.',
    subject,
  };
}

function sayUnknownCodes(prices: PricesInput, findings: Finding[]): void {
  const known = new Set<string>(PRICE_CODES);
  for (const code of Object.keys(prices.items ?? {})) {
    if (known.has(code)) continue;
    findings.push({
      code: 'take-off.unknown-price-code',
      severity: 'caution',
      message: `The price of "${code}" is not used: the take-off has no such line.`,
      advice: `Use one of ${PRICE_CODES.join(', ')}.`,
      subject: `/prices/items/${code.replaceAll('~', '~0').replaceAll('/', '~1')}`,
    });
  }
}

function sayExamplePrices(
  lines: readonly TakeOffLine[],
  prices: PricesInput,
  currency: string,
  findings: Finding[],
): void {
  const examples = lines.filter(({ code, unitPrice }) => prices.items?.[code] === undefined && unitPrice > 0);
  if (examples.length === 0) return;
  const mixed = currency !== PRICE_BOOK.currency;
  findings.push({
    code: 'take-off.example-prices',
    severity: mixed ? 'caution' : 'note',
    message: `${examples.length} of ${lines.length} lines of the take-off carry invented example prices${
      mixed ? `, thought of in ${PRICE_BOOK.currency} but added up as ${currency}` : ''
    }.`,
    advice: 'Give the firm’s own prices, by the code of each line, before the price is shown to a customer.',
    value: examples.length,
    limit: 0,
    unit: 'lines',
  });
}
