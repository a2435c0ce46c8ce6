import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import { createFigures } from '../figures.ts';
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
    <details class="take-off">
      <summary>Take-off <span class="quiet">${counted(takeoff.lines.length, 'line')}</span></summary>
      <table>
        <thead>
          <tr><th scope="col">What</th><th scope="col">Quantity</th><th scope="col">Amount</th></tr>
        </thead>
        <tbody>
          ${takeoff.lines.map(
            ({ what, quantity, unit, amount }) => html`<tr>
              <th scope="row">${what}</th>
              <td>${written(quantity, unit, figures)}</td>
              <td>${figures.price(amount, takeoff.currency)}</td>
            </tr>`,
          )}
        </tbody>
        <tfoot>
          ${takeoff.tax === 0 ? null : html`<tr><th scope="row" colspan="2">Tax</th><td>${figures.price(takeoff.tax, takeoff.currency)}</td></tr>`}
          <tr><th scope="row" colspan="2">In all</th><td>${figures.price(takeoff.priceTotal, takeoff.currency)}</td></tr>
        </tfoot>
      </table>
    </details>
  </section>`;
}

function written(quantity: number, unit: 'm' | 'piece' | 'h', figures: ReturnType<typeof createFigures>): string {
  if (unit === 'm') return figures.length(quantity);
  return unit === 'h' ? figures.hours(quantity) : figures.count(quantity);
}
