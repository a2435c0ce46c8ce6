import geographiclib from 'geographiclib-geodesic';
import { describe, expect, it } from 'vitest';
import { lonLat } from '#geo-core/model/position.ts';
import { geodesicInverse, geodesicRing, metresPerDegree } from '#geo-core/projection/geodesic.ts';
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };
import slopeReference from '../../../fixtures/reference/slope.json' with { type: 'json' };

describe('twenty geodesics of the GeodTest subset', () => {
  const { rows, tolerance } = reference.geodesic_wgs84;
  it.each(rows)('have the published length and azimuths from $lat1 $lon1 to $lat2 $lon2', (row) => {
    const geodesic = geodesicInverse(lonLat(row.lon1, row.lat1), lonLat(row.lon2, row.lat2));
    expect(Math.abs(geodesic.distanceM - row.s12_m)).toBeLessThanOrEqual(tolerance.s12_m);
    expect(Math.abs(geodesic.azimuthDeg - row.azi1)).toBeLessThanOrEqual(tolerance.azimuth_deg);
    expect(Math.abs(geodesic.arrivalAzimuthDeg - row.azi2)).toBeLessThanOrEqual(tolerance.azimuth_deg);
  });
});

describe('areas and perimeters on the ellipsoid', () => {
  const { rows, tolerance } = reference.polygon_area_wgs84;
  it.each(rows.filter((row) => row.lat_lon !== undefined))('are those published for $id', (row) => {
    const ring = (row.lat_lon ?? []).map(([lat, lon]) => lonLat(lon, lat));
    const { areaM2, perimeterM } = geodesicRing(ring);
    expect(Math.abs(areaM2 - row.area_m2)).toBeLessThan(tolerance.area_m2);
    expect(Math.abs(perimeterM - (row.perimeter_m ?? Number.NaN))).toBeLessThan(tolerance.perimeter_m);
    expect(geodesicRing(ring.toReversed()).perimeterM).toBeCloseTo(perimeterM, 4);
  });

  it('are negative for a clockwise ring', () => {
    const triangle = [lonLat(1, 2), lonLat(2, 1), lonLat(3, 3)];
    expect(geodesicRing(triangle.toReversed()).areaM2).toBeCloseTo(-geodesicRing(triangle).areaM2, 3);
  });

  it('give 1000000 m² for 1000 m east, north, west of the origin (Planimeter29)', () => {
    const { WGS84 } = geographiclib.Geodesic;
    const corners = [lonLat(0, 0)];
    for (const azimuthDeg of [90, 0, -90]) {
      const [lon, lat] = corners[corners.length - 1];
      const end = WGS84.Direct(lat, lon, azimuthDeg, 1000);
      corners.push(lonLat(end.lon2 ?? Number.NaN, end.lat2 ?? Number.NaN));
    }
    expect(Math.abs(geodesicRing(corners).areaM2 - 1_000_000)).toBeLessThan(0.01);
  });
});

describe('the lawn at nine places', () => {
  const { rows, tolerance } = reference.lawn_at_nine_sites;
  it.each(rows)('has its geodesic area and perimeter at $name', (row) => {
    const { areaM2, perimeterM } = geodesicRing(row.lawn_lonlat_ccw.map(([lon, lat]) => lonLat(lon, lat)));
    expect(Math.abs(areaM2 - row.geodesic_area_m2)).toBeLessThan(tolerance.area_m2);
    expect(Math.abs(perimeterM - row.geodesic_perimeter_m)).toBeLessThan(tolerance.perimeter_m);
  });
});

describe('metres per degree', () => {
  it('are those of the WGS 84 radii at 60 degrees north', () => {
    const expected = slopeReference.geographic_grid_lat60.metres_per_degree;
    const { latM, lonM } = metresPerDegree(60);
    expect(Math.abs(latM - expected.lat)).toBeLessThan(1e-6);
    expect(Math.abs(lonM - expected.lon)).toBeLessThan(1e-6);
  });

  it('agree with the geodesic over a short way', () => {
    const { latM, lonM } = metresPerDegree(-43.5);
    const north = geodesicInverse(lonLat(172, -43.5005), lonLat(172, -43.4995));
    const east = geodesicInverse(lonLat(172, -43.5), lonLat(172.001, -43.5));
    expect(north.distanceM / 0.001 / latM).toBeCloseTo(1, 7);
    expect(east.distanceM / 0.001 / lonM).toBeCloseTo(1, 7);
  });
});
