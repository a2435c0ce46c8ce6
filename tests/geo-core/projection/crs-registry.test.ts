import { describe, expect, it } from 'vitest';
import { crsByEpsg, crsByWkt } from '#geo-core/projection/crs-registry.ts';
import points from '../../../fixtures/reference/crs-points.json' with { type: 'json' };

describe('the registry of coordinate reference systems', () => {
  it.each(points.rows)('knows EPSG:$epsg under its name, with the order of its axes', (row) => {
    expect(crsByEpsg(row.epsg)).toMatchObject({ epsg: row.epsg, name: row.name, axisOrder: row.axisOrder });
  });

  it('has all sixty zones north and south, and no sixty-first', () => {
    for (let zone = 1; zone <= 60; zone++) {
      expect(crsByEpsg(32_600 + zone)?.name).toBe(`WGS 84 / UTM zone ${zone}N`);
      expect(crsByEpsg(32_700 + zone)?.name).toBe(`WGS 84 / UTM zone ${zone}S`);
    }
    for (const epsg of [32_600, 32_661, 32_700, 32_761, 25_827, 25_839, 32_767, 0, -1, 4326.5, Number.NaN]) {
      expect(crsByEpsg(epsg)).toBeUndefined();
    }
  });

  it('reads the EPSG code of the whole out of WKT, not that of a part', () => {
    const wkt =
      'PROJCS["ETRS89 / UTM zone 32N",GEOGCS["ETRS89",DATUM["ETRS89",SPHEROID["GRS 1980",6378137,298.257222101]],AUTHORITY["EPSG","4258"]],' +
      'PROJECTION["Transverse_Mercator"],UNIT["metre",1,AUTHORITY["EPSG","9001"]],AUTHORITY["EPSG","25832"]]\n';
    expect(crsByWkt(wkt)?.epsg).toBe(25_832);
    expect(crsByWkt('PROJCRS["RD New",CS[Cartesian,2],ID["EPSG",28992]]')?.epsg).toBe(28_992);
    expect(crsByWkt(wkt.replace(',AUTHORITY["EPSG","25832"]]', ']'))).toBeUndefined();
  });

  it('knows the names that projection files without a code use', () => {
    expect(crsByWkt('PROJCS["RGF_1993_Lambert_93",GEOGCS["GCS_RGF_1993"]]')?.epsg).toBe(2154);
    expect(crsByWkt('PROJCS["WGS_1984_UTM_Zone_60S",GEOGCS["GCS_WGS_1984"]]')?.epsg).toBe(32_760);
    expect(crsByWkt('PROJCS["ETRS_1989_UTM_Zone_32N",GEOGCS["GCS_ETRS_1989"]]')?.epsg).toBe(25_832);
    expect(crsByWkt('GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984"]]')?.epsg).toBe(4326);
    expect(crsByWkt('PROJCS["constructor"]')).toBeUndefined();
    expect(crsByWkt('')).toBeUndefined();
  });
});
