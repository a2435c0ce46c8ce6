import { describe, expect, it } from 'vitest';
import type { PlaneFeature } from '#geo-core/model/site.ts';
import { type SunDirection, seasonSun } from '#geo-core/sun/season-sun.ts';
import { shadeCasters, shadedShare } from '#geo-core/sun/shade.ts';
import reference from '../../../fixtures/reference/sun.json' with { type: 'json' };
import { rectangle } from '../../support/golden-garden.ts';

const casters = (feature: Partial<PlaneFeature> & Pick<PlaneFeature, 'kind' | 'shape'>) => {
  const found = shadeCasters([{ pointer: '/features/0', ...feature }]);
  if (found === undefined) throw new Error('nothing throws shade');
  return found;
};
const sunAt = (azimuthDeg: number, elevationDeg: number): SunDirection => ({
  ux: Math.sin((azimuthDeg * Math.PI) / 180),
  uy: Math.cos((azimuthDeg * Math.PI) / 180),
  rise: Math.tan((elevationDeg * Math.PI) / 180),
});
const pole = (heightM: number) =>
  casters({
    kind: 'obstacle',
    heightM,
    shape: { type: 'area', polygons: [{ outer: rectangle(-0.01, -0.01, 0.01, 0.01), holes: [] }] },
  });

const WORKED = reference.shadow.rows[0].direction ?? Number.NaN;

describe('the shadow of a thing', () => {
  it.each(reference.shadow.rows)(
    'of $height m is $length m long at the worked example, straight away from the sun',
    (row) => {
      const sun = [sunAt(WORKED + 180, row.elevation)];
      const along = (lengthM: number, turnDeg = 0): number => {
        const angle = ((WORKED + turnDeg) * Math.PI) / 180;
        return shadedShare(pole(row.height), sun, lengthM * Math.sin(angle), lengthM * Math.cos(angle));
      };
      // The pole is 2 cm thick.
      expect(along(row.length - 0.03)).toBe(1);
      expect(along(row.length + 0.03)).toBe(0);
      expect(along(row.length / 2, 1)).toBe(0);
      expect(along(row.length / 2, 180)).toBe(0);
    },
  );

  it('of a house covers the strip beside it that its height and the sun make', () => {
    const house = casters({
      kind: 'building',
      heightM: 6,
      shape: { type: 'area', polygons: [{ outer: rectangle(0, 0, 10, 8), holes: [] }] },
    });
    const south = [sunAt(180, 45)];
    expect(shadedShare(house, south, 5, 13.9)).toBe(1);
    expect(shadedShare(house, south, 5, 14.1)).toBe(0);
    expect(shadedShare(house, south, 5, -1)).toBe(0);
    expect(shadedShare(house, south, 10.1, 9)).toBe(0);
    expect(shadedShare(house, [...south, sunAt(90, 45)], 5, 13)).toBe(0.5);
  });

  it('of a tree has the width of its crown, a third of its height', () => {
    const tree = casters({ kind: 'tree', heightM: 9, shape: { type: 'point', points: [{ x: 0, y: 0 }] } });
    const south = [sunAt(180, 45)];
    expect(shadedShare(tree, south, 0, 7)).toBe(1);
    expect(shadedShare(tree, south, 1.3, 5)).toBe(1);
    expect(shadedShare(tree, south, 1.6, 5)).toBe(0);
    expect(shadedShare(tree, south, 0, 10.7)).toBe(0);
  });

  it('is not told of things without a height', () => {
    const shape: PlaneFeature['shape'] = { type: 'area', polygons: [{ outer: rectangle(0, 0, 1, 1), holes: [] }] };
    expect(shadeCasters([{ kind: 'building', pointer: '/features/0', shape }])).toBeUndefined();
  });
});

describe('the sun of the mowing season', () => {
  it('stands in the south at noon in the north, in the north at noon in the south', () => {
    const mean = (sun: readonly SunDirection[]) => sun.reduce((sum, { uy }) => sum + uy, 0) / sun.length;
    expect(mean(seasonSun({ originLatDeg: 52, originLonDeg: 4.4 }))).toBeLessThan(-0.1);
    expect(mean(seasonSun({ originLatDeg: -36, originLonDeg: 175 }))).toBeGreaterThan(0.1);
  });

  it('is above the horizon about as many hours as the days are long', () => {
    // April to October at 52 degrees north: 8.6 to 16.7 hours from rise to set; above 8 degrees about two hours fewer.
    const hours = (2 * seasonSun({ originLatDeg: 52, originLonDeg: 4.4 }).length) / 7;
    expect(hours).toBeGreaterThan(10);
    expect(hours).toBeLessThan(14);
  });

  it('shades the north side of a house more than its south side', () => {
    const house = casters({
      kind: 'building',
      heightM: 7,
      shape: { type: 'area', polygons: [{ outer: rectangle(0, 0, 10, 8), holes: [] }] },
    });
    const sun = seasonSun({ originLatDeg: 52, originLonDeg: 4.4 });
    expect(shadedShare(house, sun, 5, 9)).toBeGreaterThan(0.6);
    expect(shadedShare(house, sun, 5, -1)).toBeLessThan(0.4);
    expect(shadedShare(house, sun, 5, 200)).toBe(0);
  });
});
