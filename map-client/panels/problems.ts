import { html, type TemplateResult } from 'lit';
import type { State } from '../state.ts';

/** Why a file could not be planned: every place with its JSON Pointer. The sheet keeps what it showed before. */
export function problems({ problems, words: { say } }: State): TemplateResult | null {
  if (problems === null) return null;
  const { fileName, list, more } = problems;
  return html`<section class="problems" role="alert" aria-labelledby="problems-title">
    <h2 id="problems-title">${say('margin.cannot', { file: fileName })}</h2>
    <p>${say('problems.count', { n: list.length + more })}</p>
    <ul class="plain-list">
      ${list.map(({ pointer, message }) => html`<li><code>${pointer === '' ? say('problems.wholeFile') : pointer}</code> ${message}</li>`)}
    </ul>
    ${more === 0 ? null : html`<p>${say('problems.more', { n: more })}</p>`}
  </section>`;
}
