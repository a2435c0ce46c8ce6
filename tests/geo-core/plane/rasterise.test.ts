import fc from 'fast-check';
import { expect, test } from 'vitest';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { rasterise } from '#geo-core/plane/rasterise.ts';
import { rectangle, ring } from '../../support/golden-garden.ts';

test('a cell is ground exactly where its centre lies in the polygon, not in its hole', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(fc.integer({ min: 0, max: 90 }), fc.integer({ min: 10, max: 99 })), {
        minLength: 5,
        maxLength: 9,
      }),
      (drawn) => {
        // A star about (10, 10), each corner on a ray of its own.
        const outer = ring(
          ...drawn.map(([, far], i): [number, number] => {
            const angle = (2 * Math.PI * i) / drawn.length;
            return [10 + (far / 10) * Math.cos(angle), 10 + (far / 10) * Math.sin(angle)];
          }),
        );
        const polygon = { outer, holes: [ring([10.2, 10.1], [10.1, 10.4], [10.4, 10.4])] };
        const grid = { westM: -0.05, southM: 0.03, cellM: 0.317, columns: 70, rows: 70 };
        const cells = rasterise([polygon], grid);
        cells.forEach((is, cell) => {
          const x = grid.westM + ((cell % 70) + 0.5) * grid.cellM;
          const y = grid.southM + (Math.floor(cell / 70) + 0.5) * grid.cellM;
          expect(is === 1).toBe(pointInPolygon(polygon, x, y));
        });
      },
    ),
    { numRuns: 50, seed: 3 },
  );
});

test('ground outside the grid is left out', () => {
  const cells = rasterise([{ outer: rectangle(-10, -10, 10, 10), holes: [] }], {
    westM: 0,
    southM: 0,
    cellM: 4,
    columns: 4,
    rows: 3,
  });
  // Centres at 2, 6, 10 and 14: the ground ends at 10, and what lies on the border belongs to no cell.
  expect(Array.from(cells)).toEqual([1, 1, 0, 0, 1, 1, 0, 0, 0, 0, 0, 0]);
});
