import type { Plan } from '#geo-core/model/plan.ts';
import { wordingFor } from '#geo-core/wording/wording.ts';
import { drawFurniture } from './drawing/draw-furniture.ts';
import { drawGround } from './drawing/draw-ground.ts';
import { drawMargin } from './drawing/draw-margin.ts';
import { drawMarks } from './drawing/draw-marks.ts';
import { drawWire } from './drawing/draw-wire.ts';
import { HATCHES, INK, WIDTH } from './drawing/ink.ts';
import { serif } from './drawing/lettering.ts';
import { element, type MarkUp, text, written } from './drawing/mark-up.ts';
import { placePlan } from './drawing/placement.ts';
import { FIELD, SHEET } from './drawing/sheet.ts';
import type { PlanFormat } from './plan-format.ts';

/** The plan as a landscape drawing on an A3 sheet: paper, ink, flat washes with hatches, the furniture of a drawing. */
export const svg: PlanFormat = {
  id: 'svg',
  mediaType: 'image/svg+xml',
  extension: 'svg',
  title: 'SVG: the plan as a drawing, A3',
  write: (plan) => `<?xml version="1.0" encoding="UTF-8"?>\n${written(drawSheet(plan))}\n`,
};

function drawSheet(plan: Plan): MarkUp {
  const place = placePlan(plan, FIELD, wordingFor('en'));
  const { width, height } = SHEET;
  const title = `Boundary wire plan: ${plan.name ?? 'garden'}`;
  const drawing = [
    ...drawGround(plan, place),
    ...drawWire(plan, place),
    ...drawMarks(plan, place),
    ...drawFurniture(place),
  ];
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      width: `${width}mm`,
      height: `${height}mm`,
      viewBox: `0 0 ${width} ${height}`,
      role: 'img',
    },
    element('title', {}, text(title)),
    HATCHES,
    element('rect', { width, height, fill: INK.paper }),
    ...(plan.features.length > 0 ? drawing : [nothingToDraw(plan)]),
    ...drawMargin(plan, place),
    element('rect', {
      x: FIELD.x,
      y: FIELD.y,
      width: width - 2 * FIELD.x,
      height: FIELD.height,
      fill: 'none',
      stroke: INK.line,
      'stroke-width': WIDTH.thick,
    }),
  );
}

function nothingToDraw({ audit }: Plan): MarkUp {
  const words = audit.passed
    ? 'No wire could be planned: see the notes.'
    : 'No wire is drawn: the plan did not pass its audit.';
  return serif(words, FIELD.x + FIELD.width / 2, FIELD.y + FIELD.height / 2, 8, 'middle', { 'font-style': 'italic' });
}
