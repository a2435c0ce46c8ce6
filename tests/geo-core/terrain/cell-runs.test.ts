import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pointInRing } from '#geo-core/plane/polygons.ts';
import { type CellRun, cellRunsInside } from '#geo-core/terrain/cell-runs.ts';

function drawingOf(runs: readonly CellRun[], rows: number, columns: number): string[] {
  return Array.from({ length: rows }, (_, row) =>
    Array.from({ length: columns }, (_, column) =>
      runs.some((run) => run.row === row && run.from <= column && column <= run.to) ? '#' : '.',
    ).join(''),
  );
}

describe('cells whose centre lies in a ring', () => {
  it('are those of an L with a hole', () => {
    const outer = Float64Array.of(0.5, 0.5, 6.5, 0.5, 6.5, 3.5, 3.5, 3.5, 3.5, 5.5, 0.5, 5.5);
    const hole = Float64Array.of(1.6, 1.6, 1.6, 2.4, 2.4, 2.4, 2.4, 1.6);
    expect(drawingOf(cellRunsInside([outer, hole]), 6, 8)).toEqual([
      '........',
      '.######.',
      '.#.####.',
      '.######.',
      '.###....',
      '.###....',
    ]);
  });

  it('count once for two rings that share an edge through centres', () => {
    const west = cellRunsInside([Float64Array.of(0, 0, 3, 0, 3, 3, 0, 3)]);
    const east = cellRunsInside([Float64Array.of(3, 0, 6, 0, 6, 3, 3, 3)]);
    expect(countOf(west) + countOf(east)).toBe(countOf(cellRunsInside([Float64Array.of(0, 0, 6, 0, 6, 3, 0, 3)])));
  });

  it('are the same cell by cell, whatever the ring', () => {
    const coordinate = fc.integer({ min: -300, max: 1200 }).map((cents) => cents / 100);
    fc.assert(
      fc.property(fc.array(fc.tuple(coordinate, coordinate), { minLength: 3, maxLength: 8 }), (vertices) => {
        const ring = Float64Array.from(vertices.flat());
        const drawn = drawingOf(cellRunsInside([ring]), 13, 13);
        const unlike = drawn.flatMap((line, row) =>
          [...line].filter((sign, column) => {
            const isNearEdge = pointInRing(ring, column + 1e-9, row) !== pointInRing(ring, column - 1e-9, row);
            return !isNearEdge && (sign === '#') !== pointInRing(ring, column, row);
          }),
        );
        expect(unlike).toEqual([]);
      }),
      { seed: 4, numRuns: 200 },
    );
  });
});

function countOf(runs: readonly CellRun[]): number {
  return runs.reduce((count, { from, to }) => count + to - from + 1, 0);
}
