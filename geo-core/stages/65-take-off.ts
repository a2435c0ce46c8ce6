import Big from 'big.js';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { JoinedRoute, SettingOut, SitedStations } from '#geo-core/model/plane-plan.ts';
import { PRICE_BOOK, type PricesInput } from '#geo-core/model/price-book.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import type { LaidStretch, SpoolUse, TakeOff, TakeOffLine, WireOrder, WirePart } from '#geo-core/model/take-off.ts';
import { addUp, lineAmount } from '#geo-core/price/add-up.ts';
import { type PriceBook, type PricedItem, readPriceBook } from '#geo-core/price/read-price-book.ts';
import { nineDecimals } from '#geo-core/projection/geojson-shapes.ts';
import { takeLabour } from '#geo-core/take-off/take-labour.ts';
import { takeQuantities } from '#geo-core/take-off/take-quantities.ts';
import { wireOrders } from '#geo-core/take-off/wire-parts.ts';

export type TakeOffInput = {
  readonly site: PlaneSite;
  readonly route: JoinedRoute;
  readonly stations: SitedStations;
  readonly settingOut: SettingOut;
};

/**
 * Everything laid -> materials, labour, price, in exact decimals. Lines stand in the order of the price book, those of quantity 0 are
 * left out. Prices come from the site (`prices`), else from the example price book, which is said in a finding.
 */
export function takeOff(input: TakeOffInput, rules: Rules): Staged<TakeOff> {
  const { site, route, stations, settingOut } = input;
  const { book, findings } = readPriceBook(site.prices);
  const wire = wireOrders(route, settingOut.parts, rules);
  const labour = takeLabour(input, book.hours);
  const quantities = takeQuantities(stations, settingOut, wire, labour);
  const charged = book.items.flatMap((item) =>
    item.code === 'spool'
      ? spoolLines(item, settingOut.spools, book)
      : priceLine(item, quantities.get(item.code) ?? new Big(0), book),
  );
  const { id, version, validFrom, validUntil } = site.prices;
  return {
    output: {
      ...addUp(charged, book.terms),
      lines: charged.map(({ amount, isExample: _, ...line }) => ({ ...line, amount: amount.toNumber() })),
      labour: labour.map(({ exactHours: _, ...item }) => item),
      wire: wire.map(roundedOrder),
      parts: settingOut.parts.map(roundedPart),
      stretches: settingOut.stretches.map(roundedStretch),
      spools: settingOut.spools.map(roundedSpool),
      priceBook: {
        id: id ?? null,
        version: version ?? null,
        validFrom: validFrom ?? null,
        validUntil: validUntil ?? null,
      },
    },
    findings: [...findings, ...sayExamplePrices(charged, site.prices, book)],
  };
}

type Charged = Omit<TakeOffLine, 'amount'> & { readonly amount: Big; readonly isExample: boolean };

function priceLine(item: PricedItem, quantity: Big, { terms }: PriceBook): Charged[] {
  if (quantity.lte(0)) return [];
  const { code, what, group, unit, unitPrice, discountPct, tax, isExample } = item;
  return [
    {
      code,
      what,
      group,
      quantity: quantity.toNumber(),
      unit,
      unitPrice: unitPrice.toNumber(),
      discountPct: discountPct.toNumber(),
      tax,
      amount: lineAmount(quantity, unitPrice, discountPct, terms),
      isExample: isExample && unitPrice.gt(0),
    },
  ];
}

/** A line for every size of spool that is used, longest first; a size may have a price of its own. */
function spoolLines(item: PricedItem, spools: readonly SpoolUse[], book: PriceBook): Charged[] {
  const sizesM = [...new Set(spools.map(({ lengthM }) => lengthM))].sort((a, b) => b - a);
  return sizesM.flatMap((sizeM) => {
    const own = book.spools.find(({ lengthM, price }) => lengthM === sizeM && price !== undefined)?.price;
    const count = spools.filter(({ lengthM }) => lengthM === sizeM).length;
    const priced = {
      ...item,
      what: `${item.what}, ${sizeM} m`,
      ...(own !== undefined && { unitPrice: own, isExample: false }),
    };
    return priceLine(priced, new Big(count), book);
  });
}

function roundedOrder(order: WireOrder): WireOrder {
  const { signalUnit, lengthM, groundLengthM, cornersM, endsM, reserveM, orderM } = order;
  return {
    signalUnit,
    lengthM: nineDecimals(lengthM),
    groundLengthM: groundLengthM === null ? null : nineDecimals(groundLengthM),
    cornersM: nineDecimals(cornersM),
    endsM: nineDecimals(endsM),
    reserveM: nineDecimals(reserveM),
    orderM: nineDecimals(orderM),
  };
}

function roundedPart({ lengthM, groundLengthM, ...part }: WirePart): WirePart {
  const onGroundM = groundLengthM === null ? null : nineDecimals(groundLengthM);
  return { ...part, lengthM: nineDecimals(lengthM), groundLengthM: onGroundM };
}

function roundedStretch({ fromM, toM, ...stretch }: LaidStretch): LaidStretch {
  return { ...stretch, fromM: nineDecimals(fromM), toM: nineDecimals(toM) };
}

function roundedSpool({ lays, usedM, leftM, ...spool }: SpoolUse): SpoolUse {
  return {
    ...spool,
    usedM: nineDecimals(usedM),
    leftM: nineDecimals(leftM),
    lays: lays.map(({ signalUnit, fromM, toM }) => ({
      signalUnit,
      fromM: nineDecimals(fromM),
      toM: nineDecimals(toM),
    })),
  };
}

function sayExamplePrices(lines: readonly Charged[], prices: PricesInput, { terms }: PriceBook): Finding[] {
  const examples = lines.filter(({ isExample }) => isExample).length;
  if (examples === 0) return [];
  const mixed = (prices.currency ?? PRICE_BOOK.currency) !== PRICE_BOOK.currency;
  return [
    {
      code: 'take-off.example-prices',
      severity: mixed ? 'caution' : 'note',
      message: `${examples} of ${lines.length} lines of the take-off carry invented example prices${
        mixed ? `, thought of in ${PRICE_BOOK.currency} but added up as ${terms.currency}` : ''
      }.`,
      advice: 'Give the firm’s own prices, by the code of each line, before the price is shown to a customer.',
      value: examples,
      limit: 0,
      unit: 'lines',
    },
  ];
}
