import { INK, WIDTH } from '#geo-core/formats/drawing/ink.ts';
import { element, type MarkUp } from '#geo-core/formats/drawing/mark-up.ts';

/** A thin line of the sheet. */
export function rule(ax: number, ay: number, bx: number, by: number): MarkUp {
  return element('path', { d: `M${ax} ${ay}L${bx} ${by}`, fill: 'none', stroke: INK.line, 'stroke-width': WIDTH.thin });
}

/** The frame of a drawing, inside its size. */
export function outline(width: number, height: number): MarkUp {
  const half = WIDTH.middle / 2;
  return element('rect', {
    x: half,
    y: half,
    width: width - WIDTH.middle,
    height: height - WIDTH.middle,
    fill: 'none',
    stroke: INK.line,
    'stroke-width': WIDTH.middle,
  });
}
