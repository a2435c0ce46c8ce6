import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { LocalPlane, PlanePoint } from '#geo-core/model/position.ts';
import { type CrsPoint, crsConverter } from '#geo-core/projection/crs-converter.ts';
import type { Crs } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { longitudeDifferenceDeg } from '#geo-core/projection/longitude.ts';

/** The way between the local plane (metres) and the coordinates of an elevation grid. NaN where the grid's system cannot show a point. */
export type GridMap = {
  readonly toGrid: (x: number, y: number) => CrsPoint;
  readonly toPlane: (gridX: number, gridY: number) => PlanePoint;
};

/** Box in the local plane, metres. */
export type PlaneBox = { readonly minX: number; readonly minY: number; readonly maxX: number; readonly maxY: number };

/** Largest error of the quick way inside the box, metres. */
const QUICK_ERROR_M = 0.005;

/**
 * Exact both ways; inside the box `toGrid` takes a quick way, the biquadratic through nine exactly converted nodes, where that
 * is right within 5 mm (tried at sixteen points between the nodes), else the exact one. A garden's box always passes.
 */
export function gridMap(grid: ElevationGrid, crs: Crs, plane: LocalPlane, box: PlaneBox): GridMap {
  const converter = crsConverter(crs);
  const projection = localPlaneProjection(plane);
  const middleX = grid.firstCentreX + ((grid.columns - 1) * grid.cellX) / 2;
  const exact = (x: number, y: number): CrsPoint => {
    const [lonDeg, latDeg] = projection.toLonLat(x, y);
    const point = converter.fromLonLat(lonDeg, latDeg);
    // Longitudes of a grid may run over 180 or from 0 to 360: take the turn that the grid is in.
    return crs.unit === 'degree' ? { x: middleX + longitudeDifferenceDeg(point.x, middleX), y: point.y } : point;
  };
  return {
    toGrid: quickMap(exact, box) ?? exact,
    toPlane(gridX, gridY) {
      const [lonDeg, latDeg] = converter.toLonLat(gridX, gridY);
      if (Number.isNaN(lonDeg) || Number.isNaN(latDeg)) return { x: Number.NaN, y: Number.NaN };
      return projection.toPlane(lonDeg, latDeg);
    },
  };
}

type PointMap = (x: number, y: number) => CrsPoint;

function quickMap(exact: PointMap, box: PlaneBox): PointMap | undefined {
  const halfX = Math.max((box.maxX - box.minX) / 2, 1);
  const halfY = Math.max((box.maxY - box.minY) / 2, 1);
  const middleX = (box.minX + box.maxX) / 2;
  const middleY = (box.minY + box.maxY) / 2;
  const nodes = [-1, 0, 1].flatMap((v) => [-1, 0, 1].map((u) => exact(middleX + u * halfX, middleY + v * halfY)));
  const quick: PointMap = (x, y) => {
    const u = (x - middleX) / halfX;
    const v = (y - middleY) / halfY;
    if (u < -1 || u > 1 || v < -1 || v > 1) return exact(x, y);
    const acrossU = [(u * (u - 1)) / 2, 1 - u * u, (u * (u + 1)) / 2];
    const acrossV = [(v * (v - 1)) / 2, 1 - v * v, (v * (v + 1)) / 2];
    // Differences from the middle node keep the digits: grid coordinates are millions of metres.
    const { x: originX, y: originY } = nodes[4];
    let sumX = 0;
    let sumY = 0;
    for (let i = 0; i < 9; i++) {
      const weight = acrossU[i % 3] * acrossV[(i - (i % 3)) / 3];
      sumX += weight * (nodes[i].x - originX);
      sumY += weight * (nodes[i].y - originY);
    }
    return { x: originX + sumX, y: originY + sumY };
  };
  const perMetre = largestSpan(nodes) / (2 * Math.max(halfX, halfY));
  const tries = [-0.75, -0.25, 0.25, 0.75];
  const isGood = tries.every((v) =>
    tries.every((u) => {
      const x = middleX + u * halfX;
      const y = middleY + v * halfY;
      const should = exact(x, y);
      const is = quick(x, y);
      return Math.abs(is.x - should.x) + Math.abs(is.y - should.y) < QUICK_ERROR_M * perMetre;
    }),
  );
  return isGood ? quick : undefined;
}

/** Grid units that the box spans along the axis where it spans more. */
function largestSpan(nodes: readonly CrsPoint[]): number {
  return Math.max(Math.abs(nodes[8].x - nodes[0].x), Math.abs(nodes[8].y - nodes[0].y));
}
