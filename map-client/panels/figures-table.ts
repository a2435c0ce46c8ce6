import { html, type TemplateResult } from 'lit';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import type { Figures } from '../figures.ts';
import { figuresOf, type State } from '../state.ts';
import { itemWord } from '../wording/item-word.ts';
import type { Say, Words } from '../wording/words.ts';

/** The figures of the plan, and the take-off behind a fold. */
export function figuresTable(state: State): TemplateResult | null {
  const { drawing, words } = state;
  if (drawing === null) return null;
  const { say } = words;
  const { summary, takeoff } = drawing.plan;
  const figures = figuresOf(state);
  const rows: readonly (readonly [string, string])[] = [
    [say('figure.lawn'), figures.area(summary.lawnAreaM2)],
    [say('figure.workingArea'), figures.area(summary.workingAreaM2)],
    [say('figure.wire'), figures.length(summary.routeLengthM)],
    [say('figures.leads'), figures.length(2 * summary.leadLengthM)],
    [say('figure.handMow'), figures.area(summary.handMowAreaM2)],
    [say('figure.hoursPerWeek'), figures.hours(summary.hoursPerWeek)],
    [
      say('figures.steepest'),
      summary.maxSlopePct === null ? say('figures.notKnown') : figures.percent(summary.maxSlopePct),
    ],
    [say('figures.pegs'), figures.count(summary.pegCount)],
    [
      say('figures.resistance'),
      summary.resistanceOhm === null ? say('figures.notKnown') : figures.ohm(summary.resistanceOhm),
    ],
    [
      say(takeoff.tax === 0 ? 'figures.priceNoTax' : 'figures.priceWithTax'),
      figures.price(summary.priceTotal, summary.currency),
    ],
  ];
  return html`<section class="figures" aria-labelledby="figures-title">
    <h2 id="figures-title">${say('figures.title')}</h2>
    <dl>
      ${rows.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}
    </dl>
    ${bill(takeoff, figures, words)} ${spoolPlan(takeoff, figures, say)}
  </section>`;
}

/** Every line with its price, then down to what is to be paid. */
function bill(takeoff: TakeOff, figures: Figures, words: Words): TemplateResult {
  const { say } = words;
  const { lines, currency, subtotal, discount, discountPct, taxes, pricesIncludeTax, cashRounding, priceTotal } =
    takeoff;
  const money = (amount: number): string => figures.exactPrice(amount, currency);
  const sums: readonly (readonly [string, number])[] = [
    ...(discount === 0
      ? []
      : [
          [say('bill.sum'), subtotal] as const,
          [say('price.discount', { pct: figures.percent(discountPct) }), -discount] as const,
        ]),
    ...taxes
      .filter(({ pct }) => pct !== 0)
      .map(
        ({ name, pct, tax }) =>
          [
            say(pricesIncludeTax ? 'bill.contains' : 'bill.and', { tax: name, pct: figures.percent(pct) }),
            tax,
          ] as const,
      ),
    ...(cashRounding === 0 ? [] : [[say('bill.coins'), cashRounding] as const]),
    [say('bill.inAll'), priceTotal],
  ];
  return html`<details class="take-off">
    <summary>${say('bill.title')} <span class="quiet">${say('bill.lines', { n: lines.length })}</span></summary>
    <table>
      <thead>
        <tr><th scope="col">${say('price.what')}</th><th scope="col">${say('price.quantity')}</th><th scope="col">${say('price.each')}</th><th scope="col">${say('price.amount')}</th></tr>
      </thead>
      <tbody>
        ${lines.map(
          ({ code, what, quantity, unit, unitPrice, discountPct: less, amount }) => html`<tr>
            <th scope="row">${itemWord(code, what, words)}${less === 0 ? null : html` <span class="quiet">${say('price.lineDiscount', { pct: figures.percent(less) })}</span>`}</th>
            <td>${written(quantity, unit, figures)}</td>
            <td>${money(unitPrice)}</td>
            <td>${money(amount)}</td>
          </tr>`,
        )}
      </tbody>
      <tfoot>
        ${sums.map(([name, amount]) => html`<tr><th scope="row" colspan="3">${name}</th><td>${money(amount)}</td></tr>`)}
      </tfoot>
    </table>
  </details>`;
}

/** Which spool lays what, so that the van is loaded right and no wire is cut twice. */
function spoolPlan({ spools }: TakeOff, figures: Figures, say: Say): TemplateResult | null {
  if (spools.length === 0) return null;
  return html`<details class="take-off">
    <summary>${say('spools.title')} <span class="quiet">${say('spools.count', { n: spools.length })}</span></summary>
    <table>
      <thead>
        <tr><th scope="col">${say('spools.spool')}</th><th scope="col">${say('spools.lays')}</th><th scope="col">${say('spools.used')}</th><th scope="col">${say('spools.left')}</th></tr>
      </thead>
      <tbody>
        ${spools.map(
          ({ spool, lengthM, usedM, leftM, lays }) => html`<tr>
            <th scope="row">${say('spools.of', { n: spool, length: figures.roundLength(lengthM) })}</th>
            <td>${lays
              .map(({ signalUnit, fromM, toM }) => {
                const stretch = say('spools.stretch', { from: figures.length(fromM), to: figures.length(toM) });
                return lays.length > 1 ? say('spools.unit', { n: signalUnit, stretch }) : stretch;
              })
              .join(', ')}</td>
            <td>${figures.length(usedM)}</td>
            <td>${figures.length(leftM)}</td>
          </tr>`,
        )}
      </tbody>
    </table>
  </details>`;
}

function written(quantity: number, unit: 'm' | 'piece' | 'h', figures: Figures): string {
  if (unit === 'm') return figures.length(quantity);
  return unit === 'h' ? figures.hours(quantity) : figures.count(quantity);
}
