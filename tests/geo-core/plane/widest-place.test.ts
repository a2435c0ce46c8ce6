import { describe, expect, it } from 'vitest';
import { clearanceZones } from '#geo-core/plane/clearance-zones.ts';
import reference from '../../../fixtures/reference/offset.json' with { type: 'json' };
import { moved, polygonOfWkt } from '../../support/shapes.ts';

const WIDTHS = { mowWidthM: 2, driveWidthM: 0.8 };
const shapes: Record<string, string> = reference.offsets.shapes_wkt;
const widest = (wkt: string) => clearanceZones(polygonOfWkt(wkt), WIDTHS).widest;

describe('the widest circle inside a polygon', () => {
  // L: c = (8 - c) sqrt 2; U the same with 6; T: 12 y = 147; ring: 13 - sqrt 84; triangle: area / half perimeter; hexagon: 10 sin 60.
  // Equations and GEOS 3.11.1 `maxInscribedCircle 1e-7` in fixtures/reference/offset.json.
  it.each([
    ['L', 8 * Math.SQRT2 * (Math.SQRT2 - 1)],
    ['U', 6 * Math.SQRT2 * (Math.SQRT2 - 1)],
    ['T', 3.75],
    ['ring', 13 - Math.sqrt(84)],
    ['dumbbell', 5],
    ['tri345', 3],
    ['hexagon', 10 * Math.sqrt(0.75)],
    ['rect20x12', 6],
  ])('of the %s has the radius of its closed form within 1e-7 m', (shape, radiusM) => {
    expect(widest(shapes[shape])?.radiusM).toBeCloseTo(radiusM, 7);
  });

  it.each([
    ['L', 4.686291501015241, 4.686291501015241],
    ['T', 10, 12.25],
    ['tri345', 3, 3],
    ['hexagon', 0, 0],
  ])('of the %s, where there is only one, has its centre there', (shape, x, y) => {
    const place = widest(shapes[shape]);
    expect(place?.at.x).toBeCloseTo(x, 6);
    expect(place?.at.y).toBeCloseTo(y, 6);
  });

  it('of the published double kite agrees with its published figures', () => {
    // libgeos/geos, tests/unit/algorithm/construct/MaximumInscribedCircleTest.cpp, testDoubleKite: +-0.001.
    const place = widest('POLYGON ((400 250, 300 150, 400 50, 560 150, 400 250))');
    expect(Math.abs((place?.radiusM ?? 0) - 78.7634662)).toBeLessThan(0.001);
    expect(Math.abs((place?.at.x ?? 0) - 411.38877)).toBeLessThan(0.001);
    expect(Math.abs((place?.at.y ?? 0) - 149.9996185)).toBeLessThan(0.001);
  });

  it('does not change when the ground is turned and moved', () => {
    for (const shape of ['L', 'U', 'T', 'ring', 'comb', 'star5']) {
      const polygon = polygonOfWkt(shapes[shape]);
      const here = clearanceZones(polygon, WIDTHS).widest?.radiusM ?? 0;
      const there = clearanceZones(moved(polygon, 0.28, 0.96, 213.7, -98.2), WIDTHS).widest?.radiusM ?? 0;
      expect(there, shape).toBeCloseTo(here, 8);
    }
  });

  it('is found too where no ground is wide enough to mow or even to drive', () => {
    expect(widest('POLYGON ((0 0, 9 0, 9 0.3, 0 0.3, 0 0))')?.radiusM).toBeCloseTo(0.15, 9);
    expect(widest('POLYGON ((0 0, 9 0, 9 1.5, 0 1.5, 0 0))')?.radiusM).toBeCloseTo(0.75, 9);
  });
});
