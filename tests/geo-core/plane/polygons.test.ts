import { describe, expect, it } from 'vitest';
import { polygonsFromRings, reversedRing, turnsRightOnly } from '#geo-core/plane/polygons.ts';

const square = Float64Array.of(0, 0, 10, 0, 10, 10, 0, 10);

describe('polygons from rings', () => {
  it('drop hairlines that walls leave where they meet on the grid, outer rings and holes', () => {
    const hairline = Float64Array.of(3, 3, 4.2, 3.8, 3, 3.000_001);
    expect(polygonsFromRings([square, hairline, reversedRing(hairline)])).toEqual([{ outer: square, holes: [] }]);
  });

  it('keep the hole of a tube of two centimetres', () => {
    const tube = Float64Array.of(5, 5, 5, 5.02, 5.02, 5.02, 5.02, 5);
    expect(polygonsFromRings([square, tube])).toEqual([{ outer: square, holes: [tube] }]);
  });
});

describe('rings that turn right only', () => {
  it('are clockwise and convex', () => {
    expect(turnsRightOnly(reversedRing(square))).toBe(true);
    expect(turnsRightOnly(square)).toBe(false);
    expect(turnsRightOnly(reversedRing(Float64Array.of(0, 0, 10, 0, 10, 10, 5, 3)))).toBe(false);
  });
});
