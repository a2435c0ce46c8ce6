import { html, type TemplateResult } from 'lit';
import { ref } from 'lit/directives/ref.js';
import { INKS } from '../ink.ts';
import type { KeyEntry } from '../layers/sheet.ts';
import { SHEETS } from '../layers/sheets.ts';
import { drawSwatch } from '../map/draw-swatch.ts';
import type { State } from '../state.ts';

/** The key: only what is on the sheet at this step. */
export function legend({ drawing, stepIndex, inkName }: State): TemplateResult | null {
  if (drawing === null) return null;
  const entries = SHEETS.slice(0, stepIndex + 1).flatMap(({ stage, key }): readonly KeyEntry[] =>
    key.filter(({ shows }) => drawing.sheets[stage].features.some(({ properties }) => shows(properties))),
  );
  const ink = INKS[inkName];
  return html`<section class="key" aria-labelledby="key-title">
    <h2 id="key-title">Key</h2>
    <ul>
      ${entries.map(
        ({ label, swatch }) => html`<li>
          <canvas
            width="96"
            height="56"
            aria-hidden="true"
            ${ref((canvas) => {
              if (canvas instanceof HTMLCanvasElement) drawSwatch(canvas, swatch, ink);
            })}
          ></canvas>
          ${label}
        </li>`,
      )}
    </ul>
  </section>`;
}
