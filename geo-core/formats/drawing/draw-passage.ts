import type { PlanFeature } from '#geo-core/model/plan.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { nearestFoot, raiseWalls } from '#geo-core/plane/clearance-walls.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { INK, WIDTH } from './ink.ts';
import { haloed, sans } from './lettering.ts';
import { element, group, type MarkUp } from './mark-up.ts';
import { type Placement, pathOf } from './placement.ts';

/** The centre line of a passage, and at its narrowest a dimension line from wire to wire with the clear width. */
export function drawPassage(
  { properties, geometry }: PlanFeature,
  place: Placement,
  areas: readonly Polygon[],
): MarkUp[] {
  if (properties.kind !== 'passage') return [];
  const lines = place.lines(geometry);
  const centre = element('path', {
    d: lines.map((line) => pathOf(line, false)).join(''),
    fill: 'none',
    stroke: INK.soft,
    'stroke-width': WIDTH.thin,
    'stroke-dasharray': '5 1 0.5 1',
  });
  const across = narrowestAcross(lines, properties.widthM * place.mmPerM, areas);
  return across === undefined ? [centre] : [centre, dimension(across, place.wording.length(properties.widthM, 2))];
}

type Across = { readonly ax: number; readonly ay: number; readonly bx: number; readonly by: number };

/** Where the centre line comes nearest to a wire: from there across to the other side, as wide as the passage is. */
function narrowestAcross(lines: readonly Polyline[], widthMm: number, areas: readonly Polygon[]): Across | undefined {
  const walls = areas.flatMap((area) => raiseWalls(area) ?? []);
  let best: (Across & { distanceM: number }) | undefined;
  for (const line of lines) {
    for (const { x, y } of everyMillimetre(line)) {
      for (const wall of walls) {
        const foot = nearestFoot(wall, x, y, widthMm);
        if (foot === undefined || foot.distanceM === 0 || (best && foot.distanceM >= best.distanceM)) continue;
        const [ux, uy] = [(x - foot.x) / foot.distanceM, (y - foot.y) / foot.distanceM];
        const { distanceM } = foot;
        best = { ax: foot.x, ay: foot.y, bx: foot.x + ux * widthMm, by: foot.y + uy * widthMm, distanceM };
      }
    }
  }
  return best;
}

function everyMillimetre(line: Polyline): { x: number; y: number }[] {
  const places: { x: number; y: number }[] = [];
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = line.subarray(i, i + 4);
    const steps = Math.max(1, Math.ceil(lineLengthM(line.subarray(i, i + 4))));
    for (let k = 0; k <= steps; k++) places.push({ x: ax + ((bx - ax) * k) / steps, y: ay + ((by - ay) * k) / steps });
  }
  return places;
}

/** A dimension line with arrowheads; where there is no room between them, the arrows point in from outside. */
function dimension({ ax, ay, bx, by }: Across, words: string): MarkUp {
  const length = lineLengthM(Float64Array.of(ax, ay, bx, by));
  const [ux, uy] = length === 0 ? [1, 0] : [(bx - ax) / length, (by - ay) / length];
  const inward = length < 12 ? -1 : 1;
  const reach = inward === -1 ? 7 : 0;
  const line = Float64Array.of(ax - ux * reach, ay - uy * reach, bx + ux * reach, by + uy * reach);
  const head = (x: number, y: number, sign: number) =>
    element('path', {
      d: pathOf(
        Float64Array.of(
          x,
          y,
          x + sign * 2.6 * ux - 0.6 * uy,
          y + sign * 2.6 * uy + 0.6 * ux,
          x + sign * 2.6 * ux + 0.6 * uy,
          y + sign * 2.6 * uy - 0.6 * ux,
        ),
        true,
      ),
      fill: INK.line,
    });
  const [labelX, labelY] =
    inward === -1 ? [bx + ux * (reach + 2), by + uy * (reach + 2)] : [(ax + bx) / 2 + 1.5, (ay + by) / 2];
  return group(
    element('path', { d: pathOf(line, false), stroke: INK.line, 'stroke-width': WIDTH.thin }),
    head(ax, ay, inward),
    head(bx, by, -inward),
    sans(words, labelX, labelY + 1, 3, inward === -1 && ux < -0.3 ? 'end' : 'start', haloed(INK.paper)),
  );
}
