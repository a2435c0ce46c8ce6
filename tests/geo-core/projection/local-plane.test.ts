import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { lonLat } from '#geo-core/model/position.ts';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { geodesicInverse } from '#geo-core/projection/geodesic.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };

describe('one lawn of 1286 m² and 156 m at nine places', () => {
  const { rows, expected, tolerance } = reference.lawn_at_nine_sites;
  it.each(rows)('keeps area and perimeter at $name', (row) => {
    const projection = localPlaneProjection({ originLonDeg: row.lon, originLatDeg: row.lat });
    const ring = Float64Array.from(
      row.lawn_lonlat_ccw.flatMap(([lonDeg, latDeg]) => {
        const { x, y } = projection.toPlane(lonDeg, latDeg);
        return [x, y];
      }),
    );
    expect(Math.abs(ringAreaM2(ring) - expected.area_m2)).toBeLessThan(tolerance.area_m2);
    expect(Math.abs(ringLengthM(ring) - expected.perimeter_m)).toBeLessThan(tolerance.perimeter_m);
  });
});

describe('the way back', () => {
  const { rows } = reference.lawn_at_nine_sites;
  it.each(rows)('gives the same longitude and latitude at $name', (row) => {
    const projection = localPlaneProjection({ originLonDeg: row.lon, originLatDeg: row.lat });
    for (const [lonDeg, latDeg] of row.lawn_lonlat_ccw) {
      const { x, y } = projection.toPlane(lonDeg, latDeg);
      const [lonBack, latBack] = projection.toLonLat(x, y);
      expect(Math.abs(lonBack - lonDeg)).toBeLessThan(1e-12);
      expect(Math.abs(latBack - latDeg)).toBeLessThan(1e-12);
    }
  });

  it('gives longitudes in (-180, 180] on both sides of the antimeridian, and 180 on it', () => {
    const projection = localPlaneProjection({ originLonDeg: -180, originLatDeg: -16.8 });
    expect(projection.toLonLat(10, 0)[0]).toBeCloseTo(-179.999906, 6);
    expect(projection.toLonLat(-10, 0)[0]).toBeCloseTo(179.999906, 6);
    expect(projection.toLonLat(0, 5)[0]).toBe(180);
  });
});

describe('distances from the origin', () => {
  const worked = reference.local_projection_error.rows;
  it('are off by as much as the transverse Mercator must be, and no more, up to 2 km', () => {
    for (const row of worked) {
      const projection = localPlaneProjection({ originLonDeg: row.lon0, originLatDeg: row.lat0 });
      const { x, y } = projection.toPlane(row.lon2, row.lat2);
      const errorMm = (Math.sqrt(x * x + y * y) - row.geodesic_m) * 1000;
      // The far ends of the table are rounded to 1e-10 degree, 0.011 mm along a meridian.
      expect(Math.abs(errorMm - row.local_tm_err_mm)).toBeLessThan(0.012);
    }
  });
});

const shortGeodesics = new URL('../../../../shared/data/ref-geodesics/geodsolve-short.csv', import.meta.url);

describe('a thousand geodesics of garden size', () => {
  it.skipIf(!existsSync(shortGeodesics))(
    'have their length and direction in the plane (only where the shared data lie beside the repository)',
    () => {
      const lines = readFileSync(shortGeodesics, 'utf8').trim().split('\n').slice(1);
      expect(lines).toHaveLength(1000);
      for (const line of lines) {
        const [lat1, lon1, azimuthDeg, lat2, lon2, , lengthM] = line.split(',').map(Number);
        const { x, y } = localPlaneProjection({ originLonDeg: lon1, originLatDeg: lat1 }).toPlane(lon2, lat2);
        // Up to 1 km from the origin the plane is off by x^3 / 6R^2, at most 4.1e-6 m.
        expect(Math.abs(Math.sqrt(x * x + y * y) - lengthM)).toBeLessThan(4.2e-6);
        const expectedX = lengthM * Math.sin((azimuthDeg * Math.PI) / 180);
        const expectedY = lengthM * Math.cos((azimuthDeg * Math.PI) / 180);
        expect(Math.abs(x - expectedX) + Math.abs(y - expectedY)).toBeLessThan(1e-5);
        const { distanceM } = geodesicInverse(lonLat(lon1, lat1), lonLat(lon2, lat2));
        expect(Math.abs(distanceM - lengthM)).toBeLessThan(1e-8);
      }
    },
  );
});
