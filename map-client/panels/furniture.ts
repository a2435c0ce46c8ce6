import { html, svg, type TemplateResult } from 'lit';
import type { Figures } from '../figures.ts';
import { type Actions, figuresOf, type State } from '../state.ts';
import type { Say } from '../wording/words.ts';
import { legend } from './legend.ts';

/** CSS pixel of 1/96 inch, metres (CSS Values and Units 4, absolute lengths). */
export const CSS_PIXEL_M = 0.0254 / 96;

const BAR_MAX_PX = 150;

/** What belongs on the drawing itself: north, scale bar, and the few moves of the sheet, in words. */
export function furniture(state: State, actions: Actions): TemplateResult {
  const { view, drawing, words } = state;
  const { say } = words;
  return html`
    <div class="moves" role="group" aria-label=${say('sheet.moves')}>
      <button type="button" @click=${() => actions.zoomBy(1)}>${say('sheet.nearer')}</button>
      <button type="button" @click=${() => actions.zoomBy(-1)}>${say('sheet.farther')}</button>
      <button type="button" @click=${actions.showWhole}>${say('sheet.whole')}</button>
    </div>
    <button type="button" class="north" aria-label=${say('sheet.north')} @click=${actions.northUp}>
      ${northArrow(say)}
    </button>
    ${state.keyOnSheet ? html`<div class="sheet-key">${legend(state)}</div>` : null}
    ${drawing === null ? null : scaleBar(view.metresPerPixel, figuresOf(state), say)}
  `;
}

function northArrow(say: Say): TemplateResult {
  return html`<svg viewBox="0 0 48 64" width="48" height="64" aria-hidden="true" class="north-arrow">
    <circle cx="24" cy="38" r="17" class="thin" />
    <path d="M24 12 L24 60" class="thin" />
    <path d="M8 38 L40 38" class="thin" />
    <path d="M24 16 L30 38 L24 34 Z" class="solid" />
    <path d="M24 16 L18 38 L24 34 Z" class="open" />
    <text x="24" y="11" text-anchor="middle">${say('sheet.northLetter')}</text>
  </svg>`;
}

function scaleBar(metresPerPixel: number, figures: Figures, say: Say): TemplateResult {
  const unitM = figures.fromLength(1);
  const count = niceBelow((BAR_MAX_PX * metresPerPixel) / unitM);
  const widthPx = (count * unitM) / metresPerPixel;
  const quarter = widthPx / 4;
  return html`<figure class="scale-bar" aria-label=${say('sheet.scaleBar', { length: figures.roundLength(count * unitM) })}>
    <svg width=${widthPx + 56} height="30" aria-hidden="true">
      ${[0, 1, 2, 3].map(
        (part) =>
          svg`<rect x=${1 + part * quarter} y="18" width=${quarter} height="7" class=${part % 2 === 0 ? 'solid' : 'open'} />`,
      )}
      <text x="1" y="12">0</text>
      <text x=${widthPx} y="12">${figures.roundLength(count * unitM)}</text>
    </svg>
  </figure>`;
}

/** The largest of 1, 2, 5 times a power of ten that is not more than `value`. */
function niceBelow(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return ([5, 2, 1].find((factor) => factor * power <= value) ?? 1) * power;
}
