import { FOOT_M } from '#geo-core/model/foot.ts';
import { INK, WIDTH } from './ink.ts';
import { sans, serif } from './lettering.ts';
import { element, group, type MarkUp } from './mark-up.ts';
import type { Placement } from './placement.ts';

/** Scale bar and north arrow, in the lower corners of the field. */
export function drawFurniture(place: Placement): MarkUp[] {
  const { x, y, width, height } = place.field;
  return [scaleBar(place, x + 10, y + height - 9), northArrow(x + width - 16, y + height - 12)];
}

/** Four equal parts, black and white, the whole 40 to 100 mm long. */
function scaleBar({ mmPerM, wording }: Placement, x: number, y: number): MarkUp {
  const { units, number } = wording;
  const mmPerUnit = units === 'us' ? mmPerM * FOOT_M : mmPerM;
  let part = 0.25;
  for (let step = 0; 4 * part * mmPerUnit < 40; step++) part *= step % 3 === 1 ? 2.5 : 2;
  const partMm = part * mmPerUnit;
  const boxes = [0, 1, 2, 3].map((i) =>
    element('rect', {
      x: x + i * partMm,
      y,
      width: partMm,
      height: 1.6,
      fill: i % 2 === 0 ? INK.line : INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.thin,
    }),
  );
  const figures = [0, 1, 2, 4].map((i) =>
    sans(
      `${number(i * part)}${i === 4 ? ` ${units === 'us' ? 'ft' : 'm'}` : ''}`,
      x + i * partMm,
      y - 1.2,
      2.5,
      'middle',
    ),
  );
  return group(...boxes, ...figures);
}

/** True north of the middle of the plan. */
function northArrow(x: number, y: number): MarkUp {
  return group(
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
  );
}
