import fc from 'fast-check';
import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import { transverseMercator } from '#geo-core/projection/transverse-mercator.ts';
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };

const RADIANS = Math.PI / 180;
const UTM_SCALE = 0.9996;
/** Zone 54: UTM of the southern half of the earth. */
const MAP_GRID_OF_AUSTRALIA = 28_354;

describe('transverse Mercator', () => {
  it('puts line 111 of the TMcoords test set, 40 degrees from its meridian, within 5 nm', () => {
    const line = reference.transverse_mercator.rows[2];
    const { x, y } = transverseMercator.forward((line.dlon ?? 0) * RADIANS, line.lat * RADIANS);
    expect(Math.abs(UTM_SCALE * x - (line.x ?? 0))).toBeLessThan(5e-9);
    expect(Math.abs(UTM_SCALE * y - (line.y ?? 0))).toBeLessThan(5e-9);
  });

  it('has a quarter meridian of 10001965.7293 m', () => {
    const { x, y } = transverseMercator.forward(0, 90 * RADIANS);
    expect(Math.abs(x)).toBeLessThan(1e-9);
    expect(Math.abs(y - 10_001_965.729_313)).toBeLessThan(1e-6);
  });

  const { rows, tolerance_m, tolerance_roundtrip_m } = reference.utm_gigs;
  it.each(rows)('agrees with the IOGP test points of UTM: EPSG:$epsg at $lon $lat', (row) => {
    const meridianDeg = 6 * (row.epsg % 100) - 183;
    const { x, y } = transverseMercator.forward((row.lon - meridianDeg) * RADIANS, row.lat * RADIANS);
    const falseNorthingM = row.epsg === MAP_GRID_OF_AUSTRALIA ? 10_000_000 : 0;
    expect(Math.abs(500_000 + UTM_SCALE * x - row.easting)).toBeLessThan(tolerance_m);
    expect(Math.abs(falseNorthingM + UTM_SCALE * y - row.northing)).toBeLessThan(tolerance_m);
    const back = transverseMercator.inverse(x, y);
    const again = transverseMercator.forward(back.lon, back.lat);
    expect(Math.abs(again.x - x) + Math.abs(again.y - y)).toBeLessThan(tolerance_roundtrip_m * 1e-6);
  });

  it('agrees with the projection library within 10 nm wherever a garden may lie, there and back', () => {
    const library = proj4('+proj=tmerc +lat_0=0 +lon_0=0 +k=1 +datum=WGS84 +units=m +no_defs');
    const degrees = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(degrees(-10, 10), degrees(-89.9, 89.9), (lonDeg, latDeg) => {
        const { x, y } = transverseMercator.forward(lonDeg * RADIANS, latDeg * RADIANS);
        const [theirX, theirY] = library.forward([lonDeg, latDeg]);
        expect(Math.abs(x - theirX)).toBeLessThan(1e-8);
        expect(Math.abs(y - theirY)).toBeLessThan(1e-8);
        const { lon, lat } = transverseMercator.inverse(x, y);
        expect(Math.abs(lat - latDeg * RADIANS)).toBeLessThan(2e-15);
        expect(Math.abs(lon - lonDeg * RADIANS) * Math.cos(lat)).toBeLessThan(2e-15);
      }),
      { seed: 5, numRuns: 5000 },
    );
  });
});
