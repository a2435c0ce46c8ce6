import type { Plan } from '#geo-core/model/plan.ts';
import type { TakeOff, TakeOffLine } from '#geo-core/model/take-off.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { itemName, unitName } from './item-words.ts';
import type { Block, Row } from './paper.ts';

/** A unit price may be finer than the currency's own minor unit. */
const UNIT_PRICE_PLACES = 4;

/** The price, line by line, with its sums; example prices are named as what they are. */
export function priceBlocks({ takeoff, findings }: Plan, wording: Wording, validUntil: string): Block[] {
  const { say } = wording;
  const isExample = findings.some(({ code }) => code === 'take-off.example-prices');
  const isUntaxed = takeoff.taxes.every(({ pct }) => pct === 0);
  return [
    { kind: 'heading', text: say('price.title') },
    ...(isExample ? [{ kind: 'paragraph', text: say('price.example'), tone: 'alert' } as const] : []),
    {
      kind: 'table',
      columns: [
        { title: say('price.what'), share: 5, align: 'start' },
        { title: say('price.quantity'), share: 1.5, align: 'end' },
        { title: say('price.each'), share: 1.6, align: 'end' },
        { title: say('price.amount'), share: 1.7, align: 'end' },
      ],
      rows: [
        ...groupRows('material', takeoff, wording),
        ...groupRows('labour', takeoff, wording),
        ...sums(takeoff, wording),
      ],
    },
    {
      kind: 'paragraph',
      text: [...(isUntaxed ? [say('price.noTax')] : []), say('price.valid', { date: validUntil })].join(' '),
      tone: 'soft',
    },
  ];
}

function groupRows(group: TakeOffLine['group'], { lines, currency }: TakeOff, wording: Wording): Row[] {
  const { say, money, percent, fixed } = wording;
  const own = lines.filter((line) => line.group === group);
  if (own.length === 0) return [];
  return [
    { role: 'group', cells: [say(`price.${group}`), '', '', ''] },
    ...own.map(({ code, what, quantity, unit, unitPrice, discountPct, amount }): Row => {
      const off = discountPct === 0 ? '' : `, ${say('price.lineDiscount', { pct: percent(discountPct) })}`;
      return {
        role: 'plain',
        cells: [
          `${itemName(code, what, wording)}${off}`,
          `${fixed(quantity, unit === 'piece' ? 0 : 2)}\u00a0${unitName(unit, wording)}`,
          money(unitPrice, currency, UNIT_PRICE_PLACES),
          money(amount, currency),
        ],
      };
    }),
  ];
}

/** Discount, net and every rate of tax, where they are; then the total. Prices that contain their tax say so under it. */
function sums(takeoff: TakeOff, { say, money, percent }: Wording): Row[] {
  const { subtotal, discountPct, discount, net, taxes, pricesIncludeTax, cashRounding, priceTotal, currency } = takeoff;
  const row = (words: string, amount: number, role: Row['role'] = 'sum'): Row => ({
    role,
    cells: [words, '', '', money(amount, currency)],
  });
  const taxed = taxes
    .filter(({ pct }) => pct > 0)
    .map(({ pct, net: on, tax }) =>
      row(
        say(pricesIncludeTax ? 'price.includesTax' : 'price.taxOf', { pct: percent(pct), net: money(on, currency) }),
        tax,
      ),
    );
  const total = row(say('price.total', { currency }), priceTotal, 'total');
  return [
    ...(discount === 0
      ? []
      : [row(say('price.subtotal'), subtotal), row(say('price.discount', { pct: percent(discountPct) }), -discount)]),
    ...(taxed.length > 0 && !pricesIncludeTax ? [row(say('price.net'), net), ...taxed] : []),
    ...(cashRounding === 0 ? [] : [row(say('price.cashRounding'), cashRounding)]),
    total,
    ...(pricesIncludeTax ? taxed : []),
  ];
}
