import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { contourRings } from './contour-rings.ts';
import type { GridMap } from './grid-map.ts';
import { type SlopeField, slopePctOf } from './slope-field.ts';

/** Ground of a field steeper than a limit, percent: contours at the limit, clipped to polygons of the local plane. */
export function steepGround(
  field: SlopeField,
  limitPct: number,
  grid: ElevationGrid,
  map: GridMap,
  clip: readonly Polygon[],
  gridM: number,
): Polygon[] {
  const { columns, rows, fromColumn, fromRow, riseX, riseY } = field;
  const slopePctAt = (column: number, row: number): number => {
    const at = row * columns + column;
    return slopePctOf({ x: riseX[at], y: riseY[at] });
  };
  const rings = contourRings(slopePctAt, columns, rows, limitPct).map((ring): Ring => {
    const inPlane = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      const gridX = grid.firstCentreX + (fromColumn + ring[i]) * grid.cellX;
      const gridY = grid.firstCentreY - (fromRow - ring[i + 1]) * grid.cellY;
      const { x, y } = map.toPlane(gridX, gridY);
      inPlane[i] = x;
      inPlane[i + 1] = y;
    }
    return inPlane;
  });
  return polygonsFromRings(kernel().intersection(rings, ringsOf(clip), gridM));
}
