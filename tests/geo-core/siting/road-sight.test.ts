import { describe, expect, it } from 'vitest';
import type { PlaneFeature } from '#geo-core/model/site.ts';
import { roadSight } from '#geo-core/siting/road-sight.ts';
import { goldenSite, rectangle, ring } from '../../support/golden-garden.ts';

/** A short road 10 m south of the place looked from: one viewpoint, at (0, -10). */
const road: PlaneFeature = {
  kind: 'road',
  pointer: '/features/0',
  shape: { type: 'line', lines: [ring([-2, -10], [2, -10])] },
};
const wall = (heightM: number, y: number): PlaneFeature => ({
  kind: 'edge',
  beyond: 'wall',
  heightM,
  pointer: '/features/1',
  shape: { type: 'line', lines: [ring([-20, y], [20, y])] },
});
const seen = (...features: readonly PlaneFeature[]) => roadSight({ ...goldenSite, features })?.(0, 0);

describe('the line of sight from the road', () => {
  it('is open where nothing stands in it, and not known without a road', () => {
    expect(seen(road)).toEqual({ seenShare: 1, nearestSeenM: 10 });
    expect(seen(wall(2, -5))).toBeUndefined();
  });

  it('is closed by a wall as high as the line is there: half way from 1.6 m down to 0.4 m that is 1.0 m', () => {
    expect(seen(road, wall(1.01, -5))?.seenShare).toBe(0);
    expect(seen(road, wall(0.99, -5))?.seenShare).toBe(1);
    // A low kerb hides from near by, a wall at the road needs the height of a person.
    expect(seen(road, wall(0.55, -1))?.seenShare).toBe(0);
    expect(seen(road, wall(1.4, -9))?.seenShare).toBe(1);
  });

  it('is closed by a house whatever its height', () => {
    const house: PlaneFeature = {
      kind: 'building',
      pointer: '/features/2',
      shape: { type: 'area', polygons: [{ outer: rectangle(-3, -8, 3, -4), holes: [] }] },
    };
    expect(seen(road, house)?.seenShare).toBe(0);
  });

  it('does not reach farther than people look', () => {
    const far: PlaneFeature = { ...road, shape: { type: 'line', lines: [ring([-2, -41], [2, -41])] } };
    expect(seen(far)).toEqual({ seenShare: 0, nearestSeenM: Number.POSITIVE_INFINITY });
  });
});
