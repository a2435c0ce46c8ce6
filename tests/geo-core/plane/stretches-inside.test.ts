import { describe, expect, test } from 'vitest';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { stretchesInside } from '#geo-core/plane/stretches-inside.ts';

const strip: Polygon = { outer: Float64Array.of(4, -1, 6, -1, 6, 5, 4, 5), holes: [] };

const lengthInsideM = (line: Polyline, polygons: readonly Polygon[]): number =>
  stretchesInside(line, chainages(line), polygons).reduce((sum, { fromM, toM }) => sum + toM - fromM, 0);

function chainages(line: Polyline): Float64Array {
  const chainageM = new Float64Array(line.length / 2);
  for (let i = 1; i < chainageM.length; i++)
    chainageM[i] = chainageM[i - 1] + Math.hypot(line[2 * i] - line[2 * i - 2], line[2 * i + 1] - line[2 * i - 1]);
  return chainageM;
}

describe('stretches of a line inside polygons', () => {
  test('a line across a strip 2 m wide', () => {
    expect(lengthInsideM(Float64Array.of(0, 0, 10, 0), [strip])).toBeCloseTo(2, 12);
  });

  test('aslant across it: 2 m / cos 45 degrees', () => {
    expect(lengthInsideM(Float64Array.of(2, -1, 8, 5), [strip])).toBeCloseTo(2 * Math.SQRT2, 12);
  });

  test('beginning inside, turning inside, leaving through a corner', () => {
    expect(lengthInsideM(Float64Array.of(5, 0, 5, 4, 6, 5, 9, 8), [strip])).toBeCloseTo(4 + Math.SQRT2, 12);
  });

  test('a hole does not count', () => {
    const holed: Polygon = { outer: strip.outer, holes: [Float64Array.of(4.5, 1, 4.5, 2, 5.5, 2, 5.5, 1)] };
    expect(lengthInsideM(Float64Array.of(5, -1, 5, 5), [holed])).toBeCloseTo(5, 12);
  });

  test('two strips, and nothing where there is none', () => {
    const other: Polygon = { outer: Float64Array.of(7, -1, 8, -1, 8, 1, 7, 1), holes: [] };
    expect(lengthInsideM(Float64Array.of(0, 0, 10, 0), [strip, other])).toBeCloseTo(3, 12);
    expect(lengthInsideM(Float64Array.of(0, 0, 10, 0), [])).toBe(0);
    expect(lengthInsideM(Float64Array.of(0, 9, 10, 9), [strip])).toBe(0);
  });
});

test('a stretch goes on over vertices, and two strips give two stretches by chainage', () => {
  const other: Polygon = { outer: Float64Array.of(7, -1, 8, -1, 8, 1, 7, 1), holes: [] };
  const line = Float64Array.of(0, 0, 5, 0, 10, 0);
  expect(stretchesInside(line, chainages(line), [strip, other])).toEqual([
    { fromM: 4, toM: 6 },
    { fromM: 7, toM: 8 },
  ]);
});
