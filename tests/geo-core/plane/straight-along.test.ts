import { describe, expect, test } from 'vitest';
import { STRAIGHT_WITHIN_M, straightAlong, trackOf } from '#geo-core/plane/straight-along.ts';
import { rectangle, ring } from '../../support/golden-garden.ts';
import { ellipse } from '../../support/joined-gardens.ts';

describe('how far a wire runs straight on both sides of a place', () => {
  test('on a rectangle it runs to the corners and round them by the allowed 20 mm', () => {
    const straight = straightAlong(trackOf(rectangle(0, 0, 9, 5)), 4, 2, 1);
    expect(straight.beforeM).toBeCloseTo(4 + STRAIGHT_WITHIN_M, 12);
    expect(straight.behindM).toBeCloseTo(5 + STRAIGHT_WITHIN_M, 12);
    expect([straight.ux, straight.uy]).toEqual([1, 0]);
  });

  test('the direction is the one of travel: west along the upper edge', () => {
    const { ux, uy } = straightAlong(trackOf(rectangle(0, 0, 9, 5)), 18, 2, 1);
    expect([ux, uy]).toEqual([-1, 0]);
  });

  test('a place counts the same from the first vertex and once round', () => {
    const track = trackOf(rectangle(0, 0, 9, 5));
    expect(straightAlong(track, 28 + 4, 2, 1)).toEqual(straightAlong(track, 4, 2, 1));
  });

  test('vertices 15 mm off the line keep it straight, 150 mm off end it', () => {
    const edge = (offM: number): Float64Array => ring([0, 0], [4, offM], [8, 0], [8, 5], [0, 5]);
    expect(straightAlong(trackOf(edge(-0.015)), 5, 2, 1).beforeM).toBeGreaterThan(4.9);
    expect(straightAlong(trackOf(edge(-0.15)), 5, 2, 1).beforeM).toBeLessThan(2);
  });

  test('on a circle of 5 m the straight wire is what stays within 20 mm of a chord or a side', () => {
    const { beforeM, behindM } = straightAlong(trackOf(ellipse(0, 0, 5, 5, 0, 720)), 7.1, 2, 1);
    // A chord that keeps 20 mm from an arc of radius 5 m on both sides is 2 √(2 × 5 × 0.04) m long at most.
    expect(beforeM + behindM).toBeLessThan(2 * Math.sqrt(2 * 5 * 0.04) + 0.01);
  });
});
