import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { gridNoiseM } from '#geo-core/terrain/grid-noise.ts';
import { seededNormal } from '../../support/seeded-normal.ts';

const SIZE = 80;
const ALL = Array.from({ length: SIZE }, (_, row) => ({ row, from: 0, to: SIZE - 1 }));

function gridOf(heightAt: (column: number, row: number) => number): ElevationGrid {
  const heightsM = Float32Array.from({ length: SIZE * SIZE }, (_, i) => heightAt(i % SIZE, Math.floor(i / SIZE)));
  const place = { epsg: 25_832, firstCentreX: 5e5, firstCentreY: 5e6, cellX: 0.5, cellY: 0.5 };
  return { ...place, columns: SIZE, rows: SIZE, heightsM, source: 'ground.tif' };
}

describe('the scatter of heights', () => {
  it.each([0.01, 0.05, 0.3])('of %d m is found on sloping ground to a tenth of it', (deviationM) => {
    const random = seededNormal(11);
    const grid = gridOf((c, r) => 100 + 0.1 * c - 0.03 * r + deviationM * random());
    expect(Math.abs(gridNoiseM(grid, ALL) / deviationM - 1)).toBeLessThan(0.1);
  });

  it('is not a wall, a bank or a bowl', () => {
    expect(
      gridNoiseM(
        gridOf((c) => (c < 40 ? 10.13 : 12.37)),
        ALL,
      ),
    ).toBeLessThan(1e-5);
    expect(
      gridNoiseM(
        gridOf((c, r) => 10 + 0.37 * Math.max(0, c - 40) + 0.001 * r * r),
        ALL,
      ),
    ).toBeLessThan(1e-4);
  });

  it('of whole metres is at least the rounding, a metre over the square root of twelve', () => {
    expect(
      gridNoiseM(
        gridOf((c, r) => Math.round(100 + 0.2 * c + 0.1 * r)),
        ALL,
      ),
    ).toBeGreaterThanOrEqual(1 / Math.sqrt(12));
  });

  it('of level ground is nothing', () => {
    expect(
      gridNoiseM(
        gridOf(() => 10),
        ALL,
      ),
    ).toBe(0);
  });

  it('is not known where no cell has all its neighbours', () => {
    expect(
      gridNoiseM(
        gridOf((c, r) => ((c + r) % 3 === 0 ? Number.NaN : 10)),
        ALL,
      ),
    ).toBeNaN();
  });
});
