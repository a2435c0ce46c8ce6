import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Polygon } from '#geo-core/model/position.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';

const ring: Polygon = {
  outer: Float64Array.of(0, 0, 20, 0, 20, 10, 0, 10),
  holes: [Float64Array.of(9, 1, 9, 9, 11, 9, 11, 1)],
};

describe('points inside a polygon', () => {
  test('are inside, at most as many as asked for, on both sides of a hole, and the same every time', () => {
    const points = interiorPoints(ring, 60);
    expect(points.length).toBeGreaterThan(40);
    expect(points.length).toBeLessThanOrEqual(60);
    for (const { x, y } of points) expect(pointInPolygon(ring, x, y)).toBe(true);
    expect(points.some(({ x }) => x < 9)).toBe(true);
    expect(points.some(({ x }) => x > 11)).toBe(true);
    expect(interiorPoints(ring, 60)).toEqual(points);
  });

  test('one point lies in the middle of the widest stretch at half height', () => {
    expect(interiorPoints(ring, 1)).toEqual([{ x: 4.5, y: 5 }]);
    expect(interiorPoints({ outer: ring.outer, holes: [] }, 1)).toEqual([{ x: 10, y: 5 }]);
  });

  test('none are asked for, or there is no ground: none', () => {
    expect(interiorPoints(ring, 0)).toEqual([]);
    expect(interiorPoints({ outer: Float64Array.of(0, 0, 5, 0, 9, 0), holes: [] }, 5)).toEqual([]);
  });

  test('holds for any star-shaped polygon and any count', () => {
    const radii = fc.array(fc.double({ min: 0.5, max: 20, noNaN: true }), { minLength: 3, maxLength: 30 });
    fc.assert(
      fc.property(radii, fc.integer({ min: 1, max: 80 }), (lengths, count) => {
        const outer = Float64Array.from(
          lengths.flatMap((length, i) => {
            const angle = (2 * Math.PI * i) / lengths.length;
            return [length * Math.cos(angle), length * Math.sin(angle)];
          }),
        );
        const points = interiorPoints({ outer, holes: [] }, count);
        expect(points.length).toBeGreaterThanOrEqual(1);
        expect(points.length).toBeLessThanOrEqual(count);
        for (const { x, y } of points) expect(pointInPolygon({ outer, holes: [] }, x, y)).toBe(true);
      }),
      { seed: 62 },
    );
  });
});
