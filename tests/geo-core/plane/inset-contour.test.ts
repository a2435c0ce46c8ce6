import { describe, expect, it } from 'vitest';
import { insetContour } from '#geo-core/plane/inset-contour.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { useKernel } from '../../support/load-kernel.ts';

/**
 * A 10 m square with a wedge driven in from the right, its tip at (4, 5):
 *
 *      +----------+
 *      |      ____|
 *      |   <______      tip seen from all around
 *      |          |
 *      +----------+
 */
const WEDGE = Float64Array.of(0, 0, 10, 0, 10, 4.5, 4, 5, 10, 5.5, 10, 10, 0, 10);
const GRID_M = 1e-5;

useKernel();

describe('the contour around the tip of a wedge', () => {
  it.each([
    { below: 0.2, above: 0.35 },
    { below: 0.35, above: 0.2 },
    { below: 0.1, above: 1 },
    { below: 1, above: 0.1 },
  ])('keeps the larger distance from the tip on both sides of it: $below below, $above above', ({ below, above }) => {
    const contour = insetContour(WEDGE, [0.1, 0.1, below, above, 0.1, 0.1, 0.1], 'round');
    const inside = contour === undefined ? [] : kernel().positiveUnion([contour], GRID_M);
    const larger = Math.max(below, above);
    const nearestM = Math.min(...inside.flatMap((ring) => cornersOf(ring).map(([x, y]) => distanceM(x, y, 4, 5))));
    expect(nearestM).toBeGreaterThan(larger - GRID_M);
    expect(nearestM).toBeLessThan(larger + 0.001);
  });
});

function cornersOf(ring: Float64Array): [number, number][] {
  return Array.from({ length: ring.length / 2 }, (_, i) => [ring[2 * i], ring[2 * i + 1]]);
}
