import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { type Crs, crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { gridMap } from '#geo-core/terrain/grid-map.ts';
import points from '../../../fixtures/reference/crs-points.json' with { type: 'json' };

const BOX = { minX: -250, minY: -180, maxX: 250, maxY: 180 };

function gridAt(epsg: number, x: number, y: number): { grid: ElevationGrid; crs: Crs } {
  const crs = crsByEpsg(epsg);
  if (crs === undefined) throw new Error(`EPSG:${epsg} is not in the registry`);
  const cell = crs.unit === 'degree' ? 1e-5 : 1;
  const grid = { epsg, columns: 1, rows: 1, firstCentreX: x, firstCentreY: y, cellX: cell, cellY: cell };
  return { grid: { ...grid, heightsM: new Float32Array(1), source: 'test' }, crs };
}

describe('the way from the local plane to a grid', () => {
  it.each(points.rows)('is right within a centimetre all over half a kilometre, and back: EPSG:$epsg', (row) => {
    const plane = { originLonDeg: row.lon, originLatDeg: row.lat };
    const { grid, crs } = gridAt(row.epsg, row.x, row.y);
    const map = gridMap(grid, crs, plane, BOX);
    const projection = localPlaneProjection(plane);
    const converter = crsConverter(crs);
    const unitM = crs.unit === 'degree' ? 111_000 : 1;
    for (let x = -250; x <= 250; x += 62.5) {
      for (let y = -180; y <= 180; y += 45) {
        const [lonDeg, latDeg] = projection.toLonLat(x, y);
        const exact = converter.fromLonLat(lonDeg, latDeg);
        const quick = map.toGrid(x, y);
        expect(Math.abs(quick.x - exact.x) * unitM).toBeLessThan(0.01);
        expect(Math.abs(quick.y - exact.y) * unitM).toBeLessThan(0.01);
        const back = map.toPlane(quick.x, quick.y);
        expect(Math.abs(back.x - x)).toBeLessThan(0.01);
        expect(Math.abs(back.y - y)).toBeLessThan(0.01);
      }
    }
  });

  it('goes on exactly outside the box', () => {
    const plane = { originLonDeg: 9.2, originLatDeg: 48.8 };
    const { grid, crs } = gridAt(25_832, 514_687, 5_405_242);
    const map = gridMap(grid, crs, plane, BOX);
    const [lonDeg, latDeg] = localPlaneProjection(plane).toLonLat(40_000, -25_000);
    expect(map.toGrid(40_000, -25_000)).toEqual(crsConverter(crs).fromLonLat(lonDeg, latDeg));
  });

  it('follows a grid whose longitudes run over the antimeridian, or from 0 to 360', () => {
    const plane = { originLonDeg: -180, originLatDeg: -16.8 };
    for (const middle of [180, -180]) {
      const { grid, crs } = gridAt(4326, middle, -16.8);
      const map = gridMap(grid, crs, plane, BOX);
      expect(map.toGrid(-100, 0).x).toBeCloseTo(middle - 0.000_94, 5);
      expect(map.toGrid(100, 0).x).toBeCloseTo(middle + 0.000_94, 5);
      expect(map.toPlane(middle + 0.001, -16.8).x).toBeCloseTo(106.6, 1);
    }
  });
});
