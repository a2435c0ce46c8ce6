import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { pointInRing } from '#geo-core/plane/polygons.ts';
import { type CellRun, cellCount, cellPatches, cellRunsInside, widenedRuns } from '#geo-core/terrain/cell-runs.ts';

/** Runs of a drawing: '#' is a cell. */
function runsOf(...lines: readonly string[]): CellRun[] {
  return lines.flatMap((line, row) =>
    [...line.matchAll(/#+/g)].map((match) => ({ row, from: match.index, to: match.index + match[0].length - 1 })),
  );
}

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
    expect(cellCount(west) + cellCount(east)).toBe(
      cellCount(cellRunsInside([Float64Array.of(0, 0, 6, 0, 6, 3, 0, 3)])),
    );
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

describe('patches of cells', () => {
  it('hold together by edges and corners', () => {
    const patches = cellPatches(runsOf('##....#', '..#..#.', '......#', '#......', '#.#####'));
    expect(patches.map(cellCount)).toEqual([3, 3, 2, 5]);
  });

  it('join where a later row closes a U, and where runs of one row abut', () => {
    expect(cellPatches(runsOf('#...#', '#...#', '#####'))).toHaveLength(1);
    expect(
      cellPatches([
        { row: 0, from: 3, to: 4 },
        { row: 0, from: 1, to: 2 },
      ]),
    ).toHaveLength(1);
  });

  it('are those of a flood fill, whatever the drawing', () => {
    const line = fc.string({ unit: fc.constantFrom('#', '.', '.'), minLength: 8, maxLength: 8 });
    fc.assert(
      fc.property(fc.array(line, { minLength: 1, maxLength: 8 }), (lines) => {
        const cells = new Set(
          lines.flatMap((text, r) => [...text].flatMap((sign, c) => (sign === '#' ? [`${r},${c}`] : []))),
        );
        const sizes: number[] = [];
        while (cells.size > 0) {
          const stack = [...cells].slice(0, 1);
          cells.delete(stack[0]);
          let size = 0;
          for (let cell = stack.pop(); cell !== undefined; cell = stack.pop()) {
            size++;
            const [r, c] = cell.split(',').map(Number);
            for (let dr = -1; dr <= 1; dr++) {
              for (let dc = -1; dc <= 1; dc++) {
                const beside = `${r + dr},${c + dc}`;
                if (cells.delete(beside)) stack.push(beside);
              }
            }
          }
          sizes.push(size);
        }
        const found = cellPatches(runsOf(...lines)).map(cellCount);
        expect(found.toSorted()).toEqual(sizes.toSorted());
      }),
      { seed: 8, numRuns: 200 },
    );
  });
});

describe('runs widened by cells beside them', () => {
  it('take in what passes, also by corners, and nothing further off; every cell comes once', () => {
    const ground = ['#.####..', '.#..##..', '........', '###.....', '.......#'];
    const widened = widenedRuns(
      runsOf('........', '.#..##..', '........', '#.......'),
      (column, row) => ground[row]?.[column] === '#',
    );
    expect(drawingOf(widened, 5, 8)).toEqual(['#.####..', '.#..##..', '........', '##......', '........']);
    expect(cellCount(widened)).toBe(10);
  });
});
