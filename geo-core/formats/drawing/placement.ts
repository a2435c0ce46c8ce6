import type { Plan, PlanGeometry } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { planPlane } from '../plan-plane.ts';
import { decimals } from './mark-up.ts';

/** A3 across, millimetres: the field of the drawing on the left, the margin on the right. */
export const SHEET = { width: 420, height: 297, frame: 8, margin: 96 } as const;
export const FIELD = {
  x: SHEET.frame,
  y: SHEET.frame,
  width: SHEET.width - 2 * SHEET.frame - SHEET.margin,
  height: SHEET.height - 2 * SHEET.frame,
} as const;

/** Room round the drawing for labels, scale bar and north arrow, millimetres. */
const CLEAR = { side: 16, top: 16, bottom: 26 };
const SCALES = [20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750];

type Position = readonly [number, number];

/** Where the plan lies on the sheet, in millimetres from its upper left corner; north is up. */
export type Placement = {
  /** 1 : scale. */
  readonly scale: number;
  readonly mmPerM: number;
  readonly point: (position: Position) => readonly [number, number];
  /** x0, y0, x1, y1, ... of each line, rings not closed. */
  readonly lines: (geometry: PlanGeometry) => readonly Polyline[];
  readonly polygons: (geometry: PlanGeometry) => readonly Polygon[];
};

/** The largest scale of the series that leaves room round the plan. A plan without features is placed as one point. */
export function placePlan(plan: Plan): Placement {
  const { features } = plan;
  const { toPlane } = localPlaneProjection(planPlane(plan));
  let [left, bottom, right, top] = [0, 0, 0, 0];
  for (const { geometry } of features) {
    for (const [lonDeg, latDeg] of positionsOf(geometry)) {
      const { x, y } = toPlane(lonDeg, latDeg);
      [left, bottom, right, top] = [Math.min(left, x), Math.min(bottom, y), Math.max(right, x), Math.max(top, y)];
    }
  }
  const room = { width: FIELD.width - 2 * CLEAR.side, height: FIELD.height - CLEAR.top - CLEAR.bottom };
  const scale = scaleFor(Math.max((1000 * (right - left)) / room.width, (1000 * (top - bottom)) / room.height));
  const mmPerM = 1000 / scale;
  const [middleX, middleY] = [FIELD.x + FIELD.width / 2, FIELD.y + CLEAR.top + room.height / 2];
  const point = ([lonDeg, latDeg]: Position): readonly [number, number] => {
    const { x, y } = toPlane(lonDeg, latDeg);
    return [middleX + (x - (left + right) / 2) * mmPerM, middleY - (y - (bottom + top) / 2) * mmPerM];
  };
  const flat = (positions: readonly Position[]) => Float64Array.from(positions.flatMap(point));
  const polygons = (geometry: PlanGeometry): Polygon[] =>
    polygonsOf(geometry).map(([outer, ...holes]) => ({
      outer: flat(outer.slice(0, -1)),
      holes: holes.map((hole) => flat(hole.slice(0, -1))),
    }));
  return { scale, mmPerM, point, polygons, lines: (geometry) => linesOf(geometry).map(flat) };
}

/** The next scale of the series, which goes on in steps of 1, 2.5 and 5 beyond its end. */
function scaleFor(least: number): number {
  const known = SCALES.find((scale) => scale >= least);
  if (known !== undefined) return known;
  for (let step = 1000; ; step *= 10) {
    for (const factor of [1, 2.5, 5]) if (step * factor >= least) return step * factor;
  }
}

/** Path data of a line, or of a ring with its closing edge. */
export function pathOf(line: Polyline, closed: boolean): string {
  let out = '';
  for (let i = 0; i < line.length; i += 2) out += `${i === 0 ? 'M' : 'L'}${decimals(line[i])} ${decimals(line[i + 1])}`;
  return closed ? `${out}Z` : out;
}

/** Path data of polygons; fill with the even-odd rule. */
export function areaPath(polygons: readonly Polygon[]): string {
  return polygons.flatMap(({ outer, holes }) => [outer, ...holes].map((ring) => pathOf(ring, true))).join('');
}
