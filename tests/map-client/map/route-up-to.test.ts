import { describe, expect, it } from 'vitest';
import type { DrawnFeature, DrawnSheet } from '#map-client/drawing.ts';
import { laidInAllM, routeUpTo } from '#map-client/map/route-up-to.ts';

function piece(fromM: number, toM: number): DrawnFeature {
  const coordinates = [
    [fromM, 0],
    [toM, 0],
  ] as const;
  return { type: 'Feature', properties: { kind: 'route', fromM, toM }, geometry: { type: 'LineString', coordinates } };
}
const lead: DrawnFeature = {
  type: 'Feature',
  properties: { kind: 'lead' },
  geometry: { type: 'Point', coordinates: [0, 0] },
};
const tick: DrawnFeature = {
  type: 'Feature',
  properties: { kind: 'tick', atM: 5 },
  geometry: { type: 'Point', coordinates: [5, 0] },
};
const sheet: DrawnSheet = { type: 'FeatureCollection', features: [piece(0, 4), piece(4, 10), lead, tick] };

describe('the route up to a chainage', () => {
  it('knows how much wire there is in all', () => {
    expect(laidInAllM(sheet)).toBe(10);
  });

  it('keeps what is laid, cuts the piece being laid, leaves out the rest', () => {
    const { features } = routeUpTo(sheet, 4.5);
    expect(features.map(({ properties }) => properties.kind)).toEqual(['route', 'route', 'lead']);
    expect(features[1].geometry.coordinates).toEqual([
      [4, 0],
      [4.5, 0],
    ]);
    expect(routeUpTo(sheet, 3).features).toHaveLength(2);
  });

  it('is the whole sheet at its end', () => {
    expect(routeUpTo(sheet, 10)).toEqual(sheet);
  });
});
