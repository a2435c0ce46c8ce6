import { html, type TemplateResult } from 'lit';
import { guard } from 'lit/directives/guard.js';
import { ref } from 'lit/directives/ref.js';
import type { StageId } from '#geo-core/index.ts';
import { INKS, type Ink } from '../ink.ts';
import type { KeyEntry } from '../layers/sheet.ts';
import { SHEETS } from '../layers/sheets.ts';
import type { Swatch } from '../layers/swatch.ts';
import { drawSwatch } from '../map/draw-swatch.ts';
import type { State } from '../state.ts';

/** From this stage on things are planned; before it they are found. The key tells the planned ones first. */
const FIRST_PLANNED: StageId = '35-loop-keep-outs';

/** The key: only what is on the sheet at this step and this nearness. */
export function legend({ drawing, stepIndex, inkName, view, words: { say } }: State): TemplateResult | null {
  if (drawing === null) return null;
  const sheets = SHEETS.slice(0, stepIndex + 1);
  const planned = sheets.filter(({ stage }) => stage >= FIRST_PLANNED);
  const found = sheets.filter(({ stage }) => stage < FIRST_PLANNED);
  const entries = [...planned, ...found].flatMap(({ stage, key }): readonly KeyEntry[] =>
    key.filter(
      ({ shows, fromZoom = 0, onlyAtItsStep }) =>
        view.zoom >= fromZoom &&
        (onlyAtItsStep !== true || stage === SHEETS[stepIndex].stage) &&
        drawing.sheets[stage].features.some(({ properties }) => shows(properties)),
    ),
  );
  return html`<section class="key" aria-labelledby="key-title">
    <h2 id="key-title">${say('sheet.key')}</h2>
    <ul class="plain-list">
      ${entries.map(
        ({ label, what, swatch }) => html`<li>
          ${guard([label, what, inkName], () => swatchCanvas(swatch, INKS[inkName]))}
          ${say(label, what === undefined ? {} : { what: say(what) })}
        </li>`,
      )}
    </ul>
  </section>`;
}

/** Drawn once for each label and ink, not at every move of the sheet. */
function swatchCanvas(swatch: Swatch, ink: Ink): TemplateResult {
  const draw = (canvas: Element | undefined): void => {
    if (canvas instanceof HTMLCanvasElement) drawSwatch(canvas, swatch, ink);
  };
  return html`<canvas width="84" height="48" aria-hidden="true" ${ref(draw)}></canvas>`;
}
