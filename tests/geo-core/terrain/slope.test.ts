import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { cellSizeM, cellSlopePct, type SlopeMethod } from '#geo-core/terrain/slope.ts';
import reference from '../../../fixtures/reference/slope.json' with { type: 'json' };

const METHODS: readonly SlopeMethod[] = ['horn', 'zevenbergen-thorne'];
const toDegrees = (pct: number): number => (Math.atan(pct / 100) * 180) / Math.PI;

function gridOf(rows: readonly (readonly number[])[], members: Partial<ElevationGrid> = {}): ElevationGrid {
  return {
    epsg: 25_832,
    columns: rows[0].length,
    rows: rows.length,
    firstCentreX: 500_000,
    firstCentreY: 5_000_000,
    cellX: 1,
    cellY: 1,
    heightsM: Float32Array.from(rows.flat()),
    source: 'test',
    ...members,
  };
}

/** z = 100 + gx x + gy y with x to the east and y to the north, metres a cell as given. */
function planeGrid(gx: number, gy: number, size: number, cellXM: number, cellYM: number): ElevationGrid {
  const rows = Array.from({ length: size }, (_, row) =>
    Array.from({ length: size }, (_, column) => 100 + gx * column * cellXM + gy * (size - row) * cellYM),
  );
  return gridOf(rows);
}

describe('printed 3 x 3 windows', () => {
  const [first, second] = reference.window_3x3.rows;
  it.each([first, second])('Horn gives $horn_pct %, Zevenbergen and Thorne $zt_pct %', (row) => {
    const grid = gridOf(row.z);
    const cell = { xM: row.cell, yM: row.cell };
    const horn = cellSlopePct(grid, 1, 1, cell);
    const zevenbergenThorne = cellSlopePct(grid, 1, 1, cell, 'zevenbergen-thorne');
    expect(horn).toBeCloseTo(row.horn_pct ?? Number.NaN, 9);
    expect(zevenbergenThorne).toBeCloseTo(row.zt_pct ?? Number.NaN, 9);
    expect(Math.abs(toDegrees(horn) - (row.horn_deg ?? Number.NaN))).toBeLessThan(1e-9);
    expect(Math.abs(toDegrees(zevenbergenThorne) - (row.zt_deg ?? Number.NaN))).toBeLessThan(1e-9);
  });

  it('the printed degrees are met within their own rounding', () => {
    expect(Math.abs(toDegrees(first.horn_pct ?? 0) - (first.published_deg ?? 0))).toBeLessThan(1e-4);
  });

  it('the aspect window has the gradients -8.125 and -0.375', () => {
    const { z, cell, horn_dzdx, horn_dzdy } = reference.window_3x3.rows[2];
    const expected = 100 * Math.sqrt((horn_dzdx ?? 0) ** 2 + (horn_dzdy ?? 0) ** 2);
    expect(cellSlopePct(gridOf(z), 1, 1, { xM: cell, yM: cell })).toBeCloseTo(expected, 9);
  });
});

describe('a plane', () => {
  it.each(reference.plane.rows)('of $gx and $gy has $pct % in every inner cell, by both methods', (row) => {
    for (const [cellXM, cellYM] of [
      [1, 1],
      [2, 0.5],
    ]) {
      const grid = planeGrid(row.gx, row.gy, 9, cellXM, cellYM);
      for (const method of METHODS) {
        for (let r = 1; r < 8; r++) {
          for (let c = 1; c < 8; c++) {
            const pct = cellSlopePct(grid, c, r, { xM: cellXM, yM: cellYM }, method);
            expect(Math.abs(pct - row.pct)).toBeLessThan(0.003);
          }
        }
      }
    }
  });

  it('has the same slope over a wider window', () => {
    const grid = planeGrid(0.1, 0.05, 11, 0.1, 0.1);
    expect(Math.abs(cellSlopePct(grid, 5, 5, { xM: 0.1, yM: 0.1 }, 'horn', 5) - 11.180_34)).toBeLessThan(0.01);
    expect(cellSlopePct(grid, 4, 5, { xM: 0.1, yM: 0.1 }, 'horn', 5)).toBeNaN();
  });

  it('is not known on the outer ring, and nothing is extrapolated there', () => {
    const grid = planeGrid(0.1, 0.05, 5, 1, 1);
    for (let i = 0; i < 5; i++) {
      for (const [column, row] of [
        [i, 0],
        [i, 4],
        [0, i],
        [4, i],
        [-1, i],
        [i, 99],
        [Number.NaN, i],
      ]) {
        expect(cellSlopePct(grid, column, row, { xM: 1, yM: 1 })).toBeNaN();
      }
    }
  });

  it('is not known in and beside a hole, by either method, and known two cells away', () => {
    const grid = planeGrid(0.1, 0.05, 9, 1, 1);
    grid.heightsM[4 * 9 + 4] = Number.NaN;
    for (const method of METHODS) {
      for (let r = 1; r < 8; r++) {
        for (let c = 1; c < 8; c++) {
          const isBeside = Math.abs(r - 4) <= 1 && Math.abs(c - 4) <= 1;
          expect(Number.isNaN(cellSlopePct(grid, c, r, { xM: 1, yM: 1 }, method))).toBe(isBeside);
        }
      }
    }
  });
});

describe('cells on the ground', () => {
  it('of one second at 60 degrees north are 30.9478 m by 15.5000 m', () => {
    const grid = gridOf([[1]], { epsg: 4326, firstCentreX: 10, firstCentreY: 60, cellX: 1 / 3600, cellY: 1 / 3600 });
    const { lat, lon } = reference.geographic_grid_lat60.metres_per_degree;
    const { xM, yM } = cellSizeM(grid, 10, 60);
    expect(xM).toBeCloseTo(lon / 3600, 6);
    expect(yM).toBeCloseTo(lat / 3600, 6);
  });

  it.each(reference.geographic_grid_lat60.rows)(
    'give the true $true_pct % for $gx and $gy at 60 degrees north',
    (row) => {
      const { lat, lon } = reference.geographic_grid_lat60.metres_per_degree;
      const grid = {
        ...planeGrid(row.gx, row.gy, 5, lon / 3600, lat / 3600),
        epsg: 4326,
        firstCentreX: 10,
        firstCentreY: 60,
        cellX: 1 / 3600,
        cellY: 1 / 3600,
      };
      const pct = cellSlopePct(grid, 2, 2, cellSizeM(grid, 10, 60));
      expect(Math.abs(pct - row.true_pct)).toBeLessThan(reference.geographic_grid_lat60.tolerance_pct);
      expect(Math.abs(pct - row.single_factor_pct)).toBeGreaterThan(0.02);
    },
  );

  it('are smaller than they say in a Mercator grid, by the cosine of the latitude', () => {
    const grid = gridOf([[1]], {
      epsg: 3857,
      firstCentreX: 1_113_194.9,
      firstCentreY: 8_399_737.9,
      cellX: 2,
      cellY: 2,
    });
    const { xM, yM } = cellSizeM(grid, grid.firstCentreX, grid.firstCentreY);
    // Spherical Mercator at 60 degrees: east-west by N cos(60) / a, north-south by M cos(60) / a.
    const { lat, lon } = reference.geographic_grid_lat60.metres_per_degree;
    const degreeM = (6_378_137 * Math.PI) / 180;
    expect(xM).toBeCloseTo((2 * lon) / degreeM, 5);
    expect(yM).toBeCloseTo((2 * lat * 0.5) / degreeM, 5);
  });

  it('are a metre in UTM but for the scale of the place', () => {
    const grid = gridOf([[1]], { epsg: 32_634, firstCentreX: 420_653.5941, firstCentreY: 7_728_081.2221 });
    const { xM, yM } = cellSizeM(grid, grid.firstCentreX, grid.firstCentreY);
    // Scale at Tromso by GeoConvert: a grid metre is 1 / 0.9996770204 m of ground.
    expect(xM).toBeCloseTo(1 / 0.999_677_020_4, 6);
    expect(yM).toBeCloseTo(1 / 0.999_677_020_4, 6);
  });

  it('in a grid on both sides of the antimeridian are no steeper and no gentler than elsewhere', () => {
    const grid = gridOf([[1]], { epsg: 4326, firstCentreX: 180, firstCentreY: 0, cellX: 0.001, cellY: 0.001 });
    expect(cellSizeM(grid, 180, 0).xM).toBeCloseTo(111.3195, 4);
  });
});

describe('a real sample of 15 x 15 cells of three seconds', () => {
  const sample = reference.real_dem_excerpt;
  const grid = gridOf(sample.elevation_m);
  const slopes = (cell: { xM: number; yM: number }): number[] =>
    Array.from({ length: 169 }, (_, i) => cellSlopePct(grid, 1 + (i % 13), 1 + Math.floor(i / 13), cell));

  it('has the slopes of metric cells', () => {
    const all = slopes({ xM: sample.dx_m, yM: sample.dy_m });
    const { min, mean, max } = sample.metric_cells_pct;
    expect(Math.abs(Math.min(...all) - min)).toBeLessThan(sample.tolerance_pct);
    expect(Math.abs(Math.max(...all) - max)).toBeLessThan(sample.tolerance_pct);
    expect(Math.abs(all.reduce((sum, pct) => sum + pct, 0) / 169 - mean)).toBeLessThan(sample.tolerance_pct);
    for (const [place, [metric]] of Object.entries(sample.cells_metric_vs_single_factor_pct)) {
      const [row, column] = place.split(',').map(Number);
      const pct = cellSlopePct(grid, column, row, { xM: sample.dx_m, yM: sample.dy_m });
      expect(Math.abs(pct - metric)).toBeLessThan(sample.tolerance_pct);
    }
  });

  it('has cells of the size that the radii give', () => {
    const degrees = { ...grid, epsg: 4326, cellX: sample.cell_deg, cellY: sample.cell_deg };
    const { xM, yM } = cellSizeM(degrees, sample.origin_upper_left_lon, sample.mid_lat);
    expect(xM).toBeCloseTo(sample.dx_m, 6);
    expect(yM).toBeCloseTo(sample.dy_m, 6);
  });

  it('would be read too gentle with one factor for both axes', () => {
    const degreeM = 111_120 * sample.cell_deg;
    const mean = slopes({ xM: degreeM, yM: degreeM }).reduce((sum, pct) => sum + pct, 0) / 169;
    expect(Math.abs(mean - sample.single_factor_111120_pct.mean)).toBeLessThan(sample.tolerance_pct);
  });
});
