import { expect, test } from 'vitest';
import { pointAlong } from '#geo-core/plane/point-along.ts';

const line = Float64Array.of(0, 0, 3, 4, 3, 4, 3, 10);
const chainageM = Float64Array.of(0, 5, 5, 11);

test('a chainage between vertices, on a vertex, on a repeated vertex', () => {
  expect(pointAlong(line, chainageM, 2.5)).toEqual({ x: 1.5, y: 2 });
  expect(pointAlong(line, chainageM, 5)).toEqual({ x: 3, y: 4 });
  expect(pointAlong(line, chainageM, 8)).toEqual({ x: 3, y: 7 });
});

test('beyond the ends there are the ends', () => {
  expect(pointAlong(line, chainageM, -1)).toEqual({ x: 0, y: 0 });
  expect(pointAlong(line, chainageM, 11)).toEqual({ x: 3, y: 10 });
  expect(pointAlong(line, chainageM, 12)).toEqual({ x: 3, y: 10 });
});
