import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import { crsConverter } from '#geo-core/projection/crs-converter.ts';
import { type Crs, crsByEpsg } from '#geo-core/projection/crs-registry.ts';
import points from '../../../fixtures/reference/crs-points.json' with { type: 'json' };
import reference from '../../../fixtures/reference/geodesy.json' with { type: 'json' };

function known(epsg: number): Crs {
  const crs = crsByEpsg(epsg);
  if (crs === undefined) throw new Error(`EPSG:${epsg} is not in the registry`);
  return crs;
}

describe('points in the systems of the registry', () => {
  it.each(points.rows)('lie within 1 mm of where PROJ puts them: EPSG:$epsg at $lon $lat', (row) => {
    const converter = crsConverter(known(row.epsg));
    const { x, y } = converter.fromLonLat(row.lon, row.lat);
    expect(Math.abs(x - row.x)).toBeLessThan(0.001);
    expect(Math.abs(y - row.y)).toBeLessThan(0.001);
  });

  it.each(points.rows)('come back within 2 mm: EPSG:$epsg at $lon $lat', (row) => {
    const converter = crsConverter(known(row.epsg));
    const { x, y } = converter.fromLonLat(row.lon, row.lat);
    const [lon, lat] = converter.toLonLat(x, y);
    expect(Math.abs(lon - row.lon)).toBeLessThan(2e-8);
    expect(Math.abs(lat - row.lat)).toBeLessThan(2e-8);
  });
});

describe('the IOGP test points of universal transverse Mercator', () => {
  const { rows, tolerance_m, tolerance_roundtrip_m } = reference.utm_gigs;
  it.each(rows)('EPSG:$epsg at $lon $lat', (row) => {
    const converter = crsConverter(known(row.epsg));
    const { x, y } = converter.fromLonLat(row.lon, row.lat);
    expect(Math.abs(x - row.easting)).toBeLessThan(tolerance_m);
    expect(Math.abs(y - row.northing)).toBeLessThan(tolerance_m);
    const [lon, lat] = converter.toLonLat(x, y);
    const back = converter.fromLonLat(lon, lat);
    expect(Math.abs(back.x - x)).toBeLessThan(tolerance_roundtrip_m);
    expect(Math.abs(back.y - y)).toBeLessThan(tolerance_roundtrip_m);
  });
});

describe('cities in their UTM zone', () => {
  const { rows, tolerance } = reference.lawn_at_nine_sites;
  it.each(rows)('$name', (row) => {
    const { x, y } = crsConverter(known(row.utm_epsg)).fromLonLat(row.lon, row.lat);
    expect(Math.abs(x - row.easting_m)).toBeLessThan(tolerance.easting_northing_m);
    expect(Math.abs(y - row.northing_m)).toBeLessThan(tolerance.easting_northing_m);
  });
});

describe('published examples of the transverse Mercator (the projection library, without datum shift)', () => {
  const [gridExample, surveyExample, longExample] = reference.transverse_mercator.rows;
  const britishGrid = '+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000';

  it('EPSG 9807 on Airy 1830: within 10 mm of the note and 0.5 mm of double precision', () => {
    const { a, rf } = gridExample.parameters ?? { a: 0, rf: 0 };
    const [east, north] = proj4(`${britishGrid} +a=${a} +rf=${rf} +units=m +no_defs`).forward([
      gridExample.lon ?? 0,
      gridExample.lat,
    ]);
    expect(Math.abs(east - (gridExample.published_easting ?? 0))).toBeLessThan(0.01);
    expect(Math.abs(north - (gridExample.published_northing ?? 0))).toBeLessThan(0.01);
    expect(Math.abs(east - (gridExample.double_precision_easting ?? 0))).toBeLessThan(0.0005);
    expect(Math.abs(north - (gridExample.double_precision_northing ?? 0))).toBeLessThan(0.0005);
  });

  it('the Ordnance Survey guide, annex C: within 1 mm', () => {
    const [east, north] = proj4(`${britishGrid} +a=6377563.396 +b=6356256.909 +units=m +no_defs`).forward([
      surveyExample.lon ?? 0,
      surveyExample.lat,
    ]);
    expect(Math.abs(east - (surveyExample.published_easting ?? 0))).toBeLessThan(0.001);
    expect(Math.abs(north - (surveyExample.published_northing ?? 0))).toBeLessThan(0.001);
  });

  it('line 111 of the TMcoords test set, 40 degrees from its meridian: within 5 nm', () => {
    const [x, y] = proj4('+proj=tmerc +lat_0=0 +lon_0=0 +k=0.9996 +datum=WGS84 +units=m +no_defs').forward([
      longExample.dlon ?? 0,
      longExample.lat,
    ]);
    expect(Math.abs(x - (longExample.x ?? 0))).toBeLessThan(5e-9);
    expect(Math.abs(y - (longExample.y ?? 0))).toBeLessThan(5e-9);
  });

  it('the quarter meridian is 10001965.7293 m long', () => {
    const [x, y] = proj4('+proj=tmerc +lat_0=0 +lon_0=0 +k=1 +datum=WGS84 +units=m +no_defs').forward([0, 90]);
    expect(Math.abs(x)).toBeLessThan(1e-6);
    expect(Math.abs(y - 10_001_965.729_313)).toBeLessThan(1e-6);
  });
});

describe('points that a system cannot show', () => {
  it('come back as NaN instead of an error', () => {
    expect(crsConverter(known(4326)).toLonLat(500_000, 6_000_000)).toEqual([Number.NaN, Number.NaN]);
    expect(crsConverter(known(32632)).toLonLat(Number.NaN, 0)).toEqual([Number.NaN, Number.NaN]);
  });
});
