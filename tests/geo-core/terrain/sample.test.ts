import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { heightAtM } from '#geo-core/terrain/sample.ts';

/** Three columns and rows of 10 m, corner at (0, 30): centres at 5, 15, 25. */
function gridOf(heights: readonly number[]): ElevationGrid {
  return {
    epsg: 25_832,
    columns: 3,
    rows: 3,
    firstCentreX: 5,
    firstCentreY: 25,
    cellX: 10,
    cellY: 10,
    heightsM: Float32Array.from(heights),
    source: 'test',
  };
}

describe('the height between cell centres', () => {
  const grid = gridOf([1, 2, 3, 4, 5, 6, 7, 8, 10]);

  it('is the cell height at a centre', () => {
    expect(heightAtM(grid, 5, 25)).toBe(1);
    expect(heightAtM(grid, 15, 15)).toBe(5);
    expect(heightAtM(grid, 25, 5)).toBe(10);
  });

  it('is the mean of four where four cells meet', () => {
    expect(heightAtM(grid, 10, 20)).toBe(3);
    expect(heightAtM(grid, 20, 10)).toBe(7.25);
  });

  it('is exact for a twisted plane z = 2 + 0.3 x - 0.2 y + 0.01 x y, which is bilinear itself', () => {
    const z = (x: number, y: number): number => 2 + 0.3 * x - 0.2 * y + 0.01 * x * y;
    const twisted = gridOf([25, 15, 5].flatMap((y) => [5, 15, 25].map((x) => z(x, y))));
    const coordinate = fc.double({ min: 5, max: 25, noNaN: true });
    fc.assert(
      fc.property(coordinate, coordinate, (x, y) => {
        expect(Math.abs(heightAtM(twisted, x, y) - z(x, y))).toBeLessThan(1e-5);
      }),
      { seed: 26 },
    );
  });

  it('is not known outside the outermost centres', () => {
    for (const [x, y] of [
      [4.99, 15],
      [25.01, 15],
      [15, 25.01],
      [15, 4.99],
      [Number.NaN, 15],
    ]) {
      expect(heightAtM(grid, x, y)).toBeNaN();
    }
  });

  it('is not known next to an unknown cell, but on the line of known centres it is', () => {
    const holed = gridOf([1, 2, 3, 4, Number.NaN, 6, 7, 8, 10]);
    expect(heightAtM(holed, 10, 20)).toBeNaN();
    expect(heightAtM(holed, 15, 15.01)).toBeNaN();
    expect(heightAtM(holed, 10, 25)).toBe(1.5);
    expect(heightAtM(holed, 5, 10)).toBe(5.5);
  });

  it('is known at the one centre of a grid of one cell', () => {
    const single = { ...gridOf([7]), columns: 1, rows: 1 };
    expect(heightAtM(single, 5, 25)).toBe(7);
    expect(heightAtM(single, 6, 25)).toBeNaN();
  });
});
