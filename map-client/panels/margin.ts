import { html, type TemplateResult } from 'lit';
import { CAUTIONS } from '#geo-core/model/cautions.ts';
import { type Actions, figuresOf, type State } from '../state.ts';
import { chooser } from './chooser.ts';
import { drawingTable } from './drawing-table.ts';
import { figuresTable } from './figures-table.ts';
import { findings } from './findings.ts';
import { keeping } from './keeping.ts';
import { legend } from './legend.ts';
import { mowing } from './mowing.ts';
import { problems } from './problems.ts';
import { titleBlock } from './title-block.ts';
import { wordChoice } from './word-choice.ts';

/** The margin of the drawing: what belongs to the present task, the title block in its corner. */
export function margin(state: State, actions: Actions): TemplateResult {
  const { say } = state.words;
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
        ${say(state.marginOpen ? 'margin.fold' : 'margin.unfold')}
      </button>
      <p class="gist">${gist(state)}</p>
    </header>
    <div id="margin-body" class="body">
      ${problems(state)} ${state.table === null ? chooser(state, actions) : drawingTable(state, actions)} ${keeping(state, actions)} ${figuresTable(state)} ${mowing(state, actions)} ${findings(state, actions)} ${state.keyOnSheet ? null : legend(state)}
      <section class="paper" aria-labelledby="paper-title">
        <h2 id="paper-title">${say('margin.paper')}</h2>
        <div class="row" role="group" aria-labelledby="paper-title">
          ${(['paper', 'blueprint'] as const).map(
            (
              name,
            ) => html`<button type="button" aria-pressed=${state.inkName === name} @click=${() => actions.chooseInk(name)}>
              ${say(name === 'paper' ? 'margin.paperAndInk' : 'margin.blueprint')}
            </button>`,
          )}
        </div>
        ${wordChoice(state, actions)} ${cautions(state)}
      </section>
    </div>
    ${titleBlock(state)}
  `;
}

function gist(state: State): string {
  const { drawing, busy, problems, words } = state;
  if (busy) return words.say('margin.planning');
  if (problems !== null) return words.say('margin.cannot', { file: problems.fileName });
  if (drawing === null) return '';
  const figures = figuresOf(state);
  const { lawnAreaM2, routeLengthM, priceTotal, currency } = drawing.plan.summary;
  const area = figures.area(lawnAreaM2);
  if (!drawing.plan.audit.passed) return words.say('margin.noAudit', { area });
  const stops = drawing.findings.filter(({ severity }) => severity === 'stop').length;
  if (stops > 0) return words.say('margin.stops', { area, n: stops });
  return words.say('margin.gist', {
    area,
    wire: figures.length(routeLengthM),
    price: figures.price(priceTotal, currency),
  });
}

/** In the page's language where they are the built-in ones. */
function cautions({ drawing, words: { say, knows } }: State): TemplateResult | null {
  if (drawing === null || drawing.plan.cautions.length === 0) return null;
  return html`<details class="cautions">
    <summary>${say('cautions.title')}</summary>
    <ul class="plain-list">
      ${drawing.plan.cautions.map((caution) => {
        const key = `caution.${CAUTIONS.indexOf(caution)}`;
        return knows(key) ? html`<li>${say(key)}</li>` : html`<li lang="en">${caution}</li>`;
      })}
    </ul>
  </details>`;
}
