import { describe, expect, it } from 'vitest';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { labelPlace } from '#map-client/layers/label-place.ts';

describe('the place of a name', () => {
  it('is the middle of a square', () => {
    const square = { outer: Float64Array.of(0, 0, 15, 0, 15, 15, 0, 15), holes: [] };
    const { inside, roomM, beside } = labelPlace(square, {});
    expect(inside.x).toBe(7.5);
    expect(roomM).toBe(15);
    expect(beside.x).toBe(15);
  });

  it('lies on the path, not in the house, where a path runs round a house', () => {
    const ring = {
      outer: Float64Array.of(0, 0, 20, 0, 20, 12, 0, 12),
      holes: [Float64Array.of(1, 1, 1, 11, 19, 11, 19, 1)],
    };
    const { inside } = labelPlace(ring, {});
    expect(pointInPolygon(ring, inside.x, inside.y)).toBe(true);
  });

  it('is level on the sheet and beside it to the east where the axes of the plane are turned', () => {
    // 20 m from west to east, 4 m from south to north, in a plane whose x axis points north: x is north, y is west.
    const bed = { outer: Float64Array.of(0, 0, 0, -20, 4, -20, 4, 0), holes: [] };
    const { inside, roomM, beside } = labelPlace(bed, { xAxis: { east: 0, north: 1 } });
    expect(roomM).toBeCloseTo(20, 9);
    expect(inside.x).toBeCloseTo(2, 0);
    expect(inside.y).toBeCloseTo(-10, 9);
    expect(beside.y).toBeCloseTo(-20, 9);
  });
});
