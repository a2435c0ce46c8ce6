import { INK, WIDTH } from './ink.ts';
import { sans, serif } from './lettering.ts';
import { decimals, element, type MarkUp } from './mark-up.ts';
import { FIELD, type Placement } from './placement.ts';

/** Scale bar and north arrow, in the lower corners of the field. */
export function drawFurniture(place: Placement): MarkUp[] {
  return [
    scaleBar(place, FIELD.x + 10, FIELD.y + FIELD.height - 9),
    northArrow(FIELD.x + FIELD.width - 16, FIELD.y + FIELD.height - 12),
  ];
}

/** Four equal parts, black and white, the whole 40 to 100 mm long. */
function scaleBar({ mmPerM }: Placement, x: number, y: number): MarkUp {
  let partM = 0.25;
  for (let step = 0; 4 * partM * mmPerM < 40; step++) partM *= step % 3 === 1 ? 2.5 : 2;
  const part = partM * mmPerM;
  const boxes = [0, 1, 2, 3].map((i) =>
    element('rect', {
      x: x + i * part,
      y,
      width: part,
      height: 1.6,
      fill: i % 2 === 0 ? INK.line : INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.thin,
    }),
  );
  const figures = [0, 1, 2, 4].map((i) =>
    sans(`${decimals(i * partM)}${i === 4 ? ' m' : ''}`, x + i * part, y - 1.2, 2.5, 'middle'),
  );
  return [...boxes, ...figures].join('');
}

/** True north of the middle of the plan. */
function northArrow(x: number, y: number): MarkUp {
  return [
    element('circle', { cx: x, cy: y, r: 6, fill: 'none', stroke: INK.line, 'stroke-width': WIDTH.thin }),
    element('path', { d: `M${x} ${y - 8.5}L${x - 2.6} ${y + 4.6}L${x} ${y + 2.6}Z`, fill: INK.line }),
    element('path', {
      d: `M${x} ${y - 8.5}L${x + 2.6} ${y + 4.6}L${x} ${y + 2.6}Z`,
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.thin,
      'stroke-linejoin': 'round',
    }),
    serif('N', x, y - 10, 4.6, 'middle'),
  ].join('');
}
