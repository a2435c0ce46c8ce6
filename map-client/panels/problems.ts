import { html, type TemplateResult } from 'lit';
import { counted } from '#geo-core/model/counted.ts';
import type { State } from '../state.ts';

/** Why a file could not be planned: every place with its JSON Pointer. The sheet keeps what it showed before. */
export function problems({ problems }: State): TemplateResult | null {
  if (problems === null) return null;
  const { fileName, list, more } = problems;
  return html`<section class="problems" role="alert" aria-labelledby="problems-title">
    <h2 id="problems-title">${fileName} cannot be planned</h2>
    <p>${counted(list.length + more, 'thing is', 'things are')} wrong with it. Mend them and open it again.</p>
    <ul class="plain-list">
      ${list.map(({ pointer, message }) => html`<li><code>${pointer === '' ? 'whole file' : pointer}</code> ${message}</li>`)}
    </ul>
    ${more === 0 ? null : html`<p>${more} more of them are not listed.</p>`}
  </section>`;
}
