import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import { createFigures } from '../figures.ts';
import type { Actions, State } from '../state.ts';
import { chooser } from './chooser.ts';
import { drawingTable } from './drawing-table.ts';
import { figuresTable } from './figures-table.ts';
import { findings } from './findings.ts';
import { keeping } from './keeping.ts';
import { legend } from './legend.ts';
import { mowing } from './mowing.ts';
import { problems } from './problems.ts';
import { titleBlock } from './title-block.ts';

/** The margin of the drawing: what belongs to the present task, the title block in its corner. */
export function margin(state: State, actions: Actions): TemplateResult {
  return html`
    <header class="head">
      <h1>Loopwright</h1>
      <button
        type="button"
        class="fold"
        aria-expanded=${state.marginOpen}
        aria-controls="margin-body"
        @click=${actions.toggleMargin}
      >
        ${state.marginOpen ? 'Fold away' : 'Unfold'}
      </button>
      <p class="gist">${gist(state)}</p>
    </header>
    <div id="margin-body" class="body">
      ${problems(state)} ${state.table === null ? chooser(state, actions) : drawingTable(state, actions)} ${keeping(state, actions)} ${figuresTable(state)} ${mowing(state, actions)} ${findings(state, actions)} ${state.keyOnSheet ? null : legend(state)}
      <section class="paper" aria-labelledby="paper-title">
        <h2 id="paper-title">Paper</h2>
        <div class="row" role="group" aria-labelledby="paper-title">
          ${(['paper', 'blueprint'] as const).map(
            (
              name,
            ) => html`<button type="button" aria-pressed=${state.inkName === name} @click=${() => actions.chooseInk(name)}>
              ${name === 'paper' ? 'Paper and ink' : 'Blueprint'}
            </button>`,
          )}
        </div>
        ${cautions(state)}
      </section>
    </div>
    ${titleBlock(state)}
  `;
}

function gist({ drawing, busy, problems }: State): string {
  if (busy) return 'Planning…';
  if (problems !== null) return `${problems.fileName} cannot be planned`;
  if (drawing === null) return '';
  const figures = createFigures(drawing.locale, drawing.units);
  const { lawnAreaM2, routeLengthM, priceTotal, currency } = drawing.plan.summary;
  if (!drawing.plan.audit.passed) return `${figures.area(lawnAreaM2)} of lawn; the plan did not pass its audit`;
  const stops = drawing.findings.filter(({ severity }) => severity === 'stop').length;
  if (stops > 0) return `${figures.area(lawnAreaM2)} of lawn; ${counted(stops, 'finding says', 'findings say')} stop`;
  return `${figures.area(lawnAreaM2)} of lawn, ${figures.length(routeLengthM)} of wire, ${figures.price(priceTotal, currency)}`;
}

function cautions({ drawing }: State): TemplateResult | null {
  if (drawing === null || drawing.plan.cautions.length === 0) return null;
  return html`<details class="cautions">
    <summary>Before anyone digs</summary>
    <ul class="plain-list">
      ${drawing.plan.cautions.map((caution) => html`<li>${caution}</li>`)}
    </ul>
  </details>`;
}
