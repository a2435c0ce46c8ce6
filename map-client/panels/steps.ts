import { html, type TemplateResult } from 'lit';
import { STAGES } from '../layers/sheets.ts';
import type { Actions, State } from '../state.ts';

const LAST = STAGES.length - 1;

/** The stage view: a rule with a mark for every stage from the site as given to the finished plan. Arrow keys step. */
export function steps({ drawing, stepIndex, words: { say } }: State, actions: Actions): TemplateResult {
  const did = drawing?.steps[stepIndex]?.did ?? '';
  const title = say(`step.${STAGES[stepIndex]}`);
  const label = say('step.of', { n: stepIndex + 1, of: STAGES.length, title });
  return html`
    <div class="steps-words" aria-live="polite">
      <p class="steps-title"><span class="steps-number">${stepIndex + 1}<small>/${STAGES.length}</small></span> ${title}</p>
      <p class="steps-did">${did}</p>
    </div>
    <div class="steps-rule">
      <button type="button" ?disabled=${stepIndex === 0} @click=${() => actions.setStep(stepIndex - 1)}>${say('step.back')}</button>
      <div class="steps-slider">
        <input
          type="range"
          min="0"
          max=${LAST}
          step="1"
          aria-label=${say('step.slider')}
          aria-valuetext=${label}
          .value=${String(stepIndex)}
          @input=${(event: Event) => actions.setStep(Number((event.currentTarget as HTMLInputElement).value))}
        />
        <div class="steps-marks" aria-hidden="true">${STAGES.map((_, i) => html`<i class=${i <= stepIndex ? 'done' : ''}></i>`)}</div>
      </div>
      <button type="button" ?disabled=${stepIndex === LAST} @click=${() => actions.setStep(stepIndex + 1)}>${say('step.next')}</button>
    </div>
  `;
}
