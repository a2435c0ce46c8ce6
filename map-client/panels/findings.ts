import { html, svg, type TemplateResult } from 'lit';
import type { Severity } from '#geo-core/model/finding.ts';
import type { PlacedFinding } from '../drawing.ts';
import type { Actions, State } from '../state.ts';
import type { Say } from '../wording/words.ts';

const SEVERITIES: readonly Severity[] = ['stop', 'caution', 'note'];

/** What the planner noticed, like a foreman's notes; those with a place lead to it. */
export function findings(
  { drawing, findingIndex, words: { say, language } }: State,
  actions: Actions,
): TemplateResult | null {
  if (drawing === null) return null;
  const indexed = drawing.findings.map((finding, index) => ({ finding, index }));
  return html`<section class="findings" aria-labelledby="findings-title">
    <h2 id="findings-title">${say('find.title')}</h2>
    ${indexed.length === 0 ? html`<p class="quiet">${say('find.nothing')}</p>` : null}
    ${language === 'en' || indexed.length === 0 ? null : html`<p class="quiet">${say('notes.english')}</p>`}
    ${SEVERITIES.map((severity) => {
      const group = indexed.filter(({ finding }) => finding.severity === severity);
      if (group.length === 0) return null;
      return html`<details class="group" ?open=${severity !== 'note' || indexed.length === group.length}>
        <summary>${symbolOf(severity)} ${say(`find.${severity}`)} <span class="quiet">${say('find.count', { n: group.length })}</span></summary>
        <ol class="plain-list">
          ${group.map(({ finding, index }) => html`<li>${entry(finding, index, index === findingIndex, actions, say)}</li>`)}
        </ol>
      </details>`;
    })}
  </section>`;
}

function entry(finding: PlacedFinding, index: number, current: boolean, actions: Actions, say: Say): TemplateResult {
  const words = html`<span class="message" lang="en">${finding.message}</span> <span class="advice" lang="en">${finding.advice}</span>`;
  if (finding.place === null) return html`<div class="finding">${words}</div>`;
  return html`<button
    type="button"
    class="finding"
    data-code=${finding.code}
    aria-current=${current ? 'location' : 'false'}
    @click=${() => actions.goToFinding(index)}
  >
    ${words}<span class="go">${say('find.show')}</span>
  </button>`;
}

/** Shape and word tell the severity; colour does not. */
function symbolOf(severity: Severity): TemplateResult {
  const shapes = {
    stop: svg`<path d="M6 1.5h8l4.5 4.5v8l-4.5 4.5h-8l-4.5-4.5v-8z" class="solid" /><path d="M6 10h8" class="knock" />`,
    caution: svg`<path d="M10 2 19 18H1z" class="open" /><path d="M10 8v5M10 15v1" class="stroke" />`,
    note: svg`<circle cx="10" cy="10" r="8.5" class="open" /><path d="M10 9v6M10 5v1" class="stroke" />`,
  };
  return html`<svg viewBox="0 0 20 20" width="20" height="20" aria-hidden="true" class="severity">${shapes[severity]}</svg>`;
}
