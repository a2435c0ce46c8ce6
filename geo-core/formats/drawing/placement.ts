import type { Plan, PlanGeometry } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { LocalPlane, Polygon, Polyline } from '#geo-core/model/position.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { planPlane } from '../plan-plane.ts';
import { decimals } from './mark-up.ts';

/** A rectangle of a sheet, millimetres from its upper left corner. */
export type Field = { readonly x: number; readonly y: number; readonly width: number; readonly height: number };

export type Clearance = { readonly side: number; readonly top: number; readonly bottom: number };

/** Room round the drawing for labels, scale bar and north arrow, millimetres. */
const CLEAR: Clearance = { side: 16, top: 16, bottom: 26 };
const METRIC_SCALES = [20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750];
/** One inch is so many feet: 4, 5, 8, 10, 20, ... (engineer's scales; 1/4 inch and 1/8 inch to the foot among them). */
const US_SCALES = [24, 48, 60, 96, 120, 240, 360, 480, 600, 720, 960];

export type Position = readonly [number, number];
export type PlaneBox = {
  readonly left: number;
  readonly bottom: number;
  readonly right: number;
  readonly top: number;
};

/** Where the plan lies in a field of the sheet, in millimetres from the sheet's upper left corner; north is up. */
export type Placement = {
  readonly field: Field;
  readonly wording: Wording;
  /** 1 : scale. */
  readonly scale: number;
  readonly mmPerM: number;
  /** Of the local plane. */
  readonly origin: Position;
  readonly point: (position: Position) => readonly [number, number];
  /** x0, y0, x1, y1, ... of each line, rings not closed. */
  readonly lines: (geometry: PlanGeometry) => readonly Polyline[];
  readonly polygons: (geometry: PlanGeometry) => readonly Polygon[];
};

/** The largest scale of the series that leaves room round the plan, and round other positions that are to be seen. A plan without features is placed as one point. */
export function placePlan(
  plan: Plan,
  field: Field,
  wording: Wording,
  also: readonly Position[] = [],
  clear: Clearance = CLEAR,
): Placement {
  const plane = planPlane(plan);
  const box = planeBox(plane, [...plan.features.flatMap(({ geometry }) => positionsOf(geometry)), ...also]);
  const room = { width: field.width - 2 * clear.side, height: field.height - clear.top - clear.bottom };
  const { left, bottom, right, top } = box;
  const scale = scaleFor(
    Math.max((1000 * (right - left)) / room.width, (1000 * (top - bottom)) / room.height),
    wording.units === 'us' ? US_SCALES : METRIC_SCALES,
  );
  const downMm = (clear.top - clear.bottom) / 2;
  const middle = { x: (left + right) / 2, y: (bottom + top) / 2 + (downMm * scale) / 1000 };
  return placeAt(plane, middle, scale, field, wording);
}

/** With a place of the plane in the middle of the field, at a given scale. */
export function placeAt(
  plane: LocalPlane,
  middle: { readonly x: number; readonly y: number },
  scale: number,
  field: Field,
  wording: Wording,
): Placement {
  const { toPlane } = localPlaneProjection(plane);
  const mmPerM = 1000 / scale;
  const [middleX, middleY] = [field.x + field.width / 2, field.y + field.height / 2];
  const point = ([lonDeg, latDeg]: Position): readonly [number, number] => {
    const { x, y } = toPlane(lonDeg, latDeg);
    return [middleX + (x - middle.x) * mmPerM, middleY - (y - middle.y) * mmPerM];
  };
  const flat = (positions: readonly Position[]) => Float64Array.from(positions.flatMap(point));
  const polygons = (geometry: PlanGeometry): Polygon[] =>
    polygonsOf(geometry).map(([outer, ...holes]) => ({
      outer: flat(outer.slice(0, -1)),
      holes: holes.map((hole) => flat(hole.slice(0, -1))),
    }));
  const origin: Position = [plane.originLonDeg, plane.originLatDeg];
  return { field, wording, scale, mmPerM, origin, point, polygons, lines: (geometry) => linesOf(geometry).map(flat) };
}

/** The box of positions in the plane, its origin included. */
export function planeBox(plane: LocalPlane, positions: readonly Position[]): PlaneBox {
  const { toPlane } = localPlaneProjection(plane);
  let [left, bottom, right, top] = [0, 0, 0, 0];
  for (const [lonDeg, latDeg] of positions) {
    const { x, y } = toPlane(lonDeg, latDeg);
    [left, bottom, right, top] = [Math.min(left, x), Math.min(bottom, y), Math.max(right, x), Math.max(top, y)];
  }
  return { left, bottom, right, top };
}

/** The next scale of a series, which goes on in steps of 1, 2.5 and 5 thousand, ten thousand, ... beyond its end. */
function scaleFor(least: number, series: readonly number[]): number {
  const known = series.find((scale) => scale >= least);
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
