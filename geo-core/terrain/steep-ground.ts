import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import type { CellRun } from './cell-runs.ts';
import type { GridMap } from './grid-map.ts';

/** Slivers that clipping leaves, square metres. */
const SLIVER_M2 = 0.01;

/**
 * Ground covered by cells, clipped to polygons, in the local plane. Cells are joined on whole numbers first, where their edges
 * meet exactly, and brought to the plane afterwards: no hairlines between rows.
 */
export function groundOfCells(
  runs: readonly CellRun[],
  grid: ElevationGrid,
  map: GridMap,
  clip: readonly Polygon[],
  gridM: number,
): Polygon[] {
  // Corner coordinates: cell (c, r) covers x from c to c + 1, y from -r - 1 to -r.
  const boxes = runs.map(({ row, from, to }) =>
    Float64Array.of(from, -row - 1, to + 1, -row - 1, to + 1, -row, from, -row),
  );
  const toPlane = (ring: Ring): Ring => {
    const inPlane = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      const gridX = grid.firstCentreX + (ring[i] - 0.5) * grid.cellX;
      const gridY = grid.firstCentreY + (ring[i + 1] + 0.5) * grid.cellY;
      const { x, y } = map.toPlane(gridX, gridY);
      inPlane[i] = x;
      inPlane[i + 1] = y;
    }
    return inPlane;
  };
  const joined = kernel().positiveUnion(boxes, 1).map(toPlane);
  const clipped = kernel().intersection(joined, ringsOf(clip), gridM);
  return polygonsFromRings(clipped).filter((polygon) => polygonAreaM2(polygon) >= SLIVER_M2);
}
