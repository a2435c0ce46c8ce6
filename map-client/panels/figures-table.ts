import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import { createFigures, type Figures } from '../figures.ts';
import type { State } from '../state.ts';

/** The figures of the plan, and the take-off behind a fold. */
export function figuresTable({ drawing }: State): TemplateResult | null {
  if (drawing === null) return null;
  const { summary, takeoff } = drawing.plan;
  const figures = createFigures(drawing.locale, drawing.units);
  const rows: readonly (readonly [string, string])[] = [
    ['Lawn', figures.area(summary.lawnAreaM2)],
    ['Working area', figures.area(summary.workingAreaM2)],
    ['Wire', figures.length(summary.routeLengthM)],
    ['Of that, leads', figures.length(2 * summary.leadLengthM)],
    ['Mown by hand', figures.area(summary.handMowAreaM2)],
    ['Mowing a week', figures.hours(summary.hoursPerWeek)],
    ['Steepest', summary.maxSlopePct === null ? 'not known' : figures.percent(summary.maxSlopePct)],
    ['Pegs', figures.count(summary.pegCount)],
    ['Resistance', summary.resistanceOhm === null ? 'not known' : figures.ohm(summary.resistanceOhm)],
    [takeoff.tax === 0 ? 'Price, no tax' : 'Price with tax', figures.price(summary.priceTotal, summary.currency)],
  ];
  return html`<section class="figures" aria-labelledby="figures-title">
    <h2 id="figures-title">Figures</h2>
    <dl>
      ${rows.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}
    </dl>
    ${bill(takeoff, figures)} ${spoolPlan(takeoff, figures)}
  </section>`;
}

/** Every line with its price, then down to what is to be paid. */
function bill(takeoff: TakeOff, figures: Figures): TemplateResult {
  const { lines, currency, subtotal, discount, discountPct, taxes, pricesIncludeTax, cashRounding, priceTotal } =
    takeoff;
  const money = (amount: number): string => figures.exactPrice(amount, currency);
  const sums: readonly (readonly [string, number])[] = [
    ...(discount === 0
      ? []
      : [['Sum', subtotal] as const, [`Discount, ${figures.percent(discountPct)}`, -discount] as const]),
    ...taxes
      .filter(({ pct }) => pct !== 0)
      .map(
        ({ name, pct, tax }) =>
          [`${pricesIncludeTax ? 'Contains' : 'And'} ${name}, ${figures.percent(pct)}`, tax] as const,
      ),
    ...(cashRounding === 0 ? [] : [['Rounded to coins', cashRounding] as const]),
    ['In all', priceTotal],
  ];
  return html`<details class="take-off">
    <summary>Take-off and price <span class="quiet">${counted(lines.length, 'line')}</span></summary>
    <table>
      <thead>
        <tr><th scope="col">What</th><th scope="col">Quantity</th><th scope="col">Each</th><th scope="col">Amount</th></tr>
      </thead>
      <tbody>
        ${lines.map(
          ({ what, quantity, unit, unitPrice, discountPct: less, amount }) => html`<tr>
            <th scope="row">${what}${less === 0 ? null : html` <span class="quiet">less ${figures.percent(less)}</span>`}</th>
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
function spoolPlan({ spools }: TakeOff, figures: Figures): TemplateResult | null {
  if (spools.length === 0) return null;
  return html`<details class="take-off">
    <summary>Spools <span class="quiet">${counted(spools.length, 'spool')}</span></summary>
    <table>
      <thead>
        <tr><th scope="col">Spool</th><th scope="col">Lays, by chainage</th><th scope="col">Used</th><th scope="col">Left</th></tr>
      </thead>
      <tbody>
        ${spools.map(
          ({ spool, lengthM, usedM, leftM, lays }) => html`<tr>
            <th scope="row">${spool}, of ${figures.roundLength(lengthM)}</th>
            <td>${lays.map(({ signalUnit, fromM, toM }) => `${lays.length > 1 ? `unit ${signalUnit}: ` : ''}${figures.length(fromM)} to ${figures.length(toM)}`).join(', ')}</td>
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
