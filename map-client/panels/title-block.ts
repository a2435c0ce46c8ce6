import { html, type TemplateResult } from 'lit';
import type { State } from '../state.ts';
import { CSS_PIXEL_M } from './furniture.ts';

/** The title block in the corner of the sheet. The scale is that of the screen, at 96 pixels an inch. */
export function titleBlock({ drawing, plannedAt, view, words: { say, locale } }: State): TemplateResult | null {
  if (drawing === null || plannedAt === null) return null;
  const { plan } = drawing;
  const date = new Intl.DateTimeFormat(locale, { dateStyle: 'medium' }).format(plannedAt);
  const cells: readonly (readonly [string, string])[] = [
    [say('title.ruleSet'), plan.rules.name],
    [say('plan.planned'), date],
    [say('plan.scale'), `1 : ${roundedScale(view.metresPerPixel / CSS_PIXEL_M)}`],
    [say('plan.checked'), say(plan.audit.passed ? 'plan.passed' : 'plan.failed')],
  ];
  return html`<section class="title-block" aria-label=${say('plan.titleBlock')}>
    <p class="site">${drawing.title}</p>
    <dl>
      ${cells.map(([name, value]) => html`<div><dt>${name}</dt><dd>${value}</dd></div>`)}
    </dl>
  </section>`;
}

/** Two figures are as much as a screen's scale deserves. */
function roundedScale(scale: number): string {
  const step = 10 ** Math.max(0, Math.floor(Math.log10(scale)) - 1);
  return String(Math.round(scale / step) * step);
}
