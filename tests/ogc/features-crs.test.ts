import { beforeAll, describe, expect, it } from 'vitest';
import { CRS84_URI } from '#api/contract/parse-crs.ts';
import { crsByEpsg, crsConverter } from '#geo-core/index.ts';
import { garden } from '../support/garden.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-058r1, OGC API - Features - Part 2: Coordinate Reference Systems by Reference. */
const service = useKeptService();
const EPSG = 'http://www.opengis.net/def/crs/EPSG/0/';
const get = (path: string) => service().request(`/ogc${path}`);
const first = async (query: string) =>
  (await (await get(`/collections/station/items${query}`)).json()).features[0].geometry.coordinates;

beforeAll(async () => {
  await service().addSite(garden());
});

describe('coordinate systems', () => {
  it('/req/crs/fc-md-crs-list, fc-md-storageCrs: lists systems, those of the ground among them', async () => {
    const { crs, storageCrs } = await (await get('/collections/station')).json();
    expect(crs[0]).toBe(CRS84_URI);
    expect(storageCrs).toBe(CRS84_URI);
    expect(crs).toEqual([CRS84_URI, `${EPSG}4326`, `${EPSG}3857`, `${EPSG}4258`, `${EPSG}32632`, `${EPSG}25832`]);
  });

  it('/req/crs/fc-crs-action: EPSG:4326 and EPSG:4258 put latitude first, CRS84 longitude', async () => {
    const [lon, lat] = await first('');
    expect(Math.round(lon * 10)).toBe(105);
    for (const code of ['4326', '4258']) {
      const [a, b] = await first(`?crs=${encodeURIComponent(EPSG + code)}`);
      expect([b, a]).toEqual([lon, lat]);
    }
  });

  it('/req/crs/crs-action: metres agree with the projection of the EPSG registry', async () => {
    const [lon, lat] = await first('');
    for (const epsg of [3857, 32632, 25832]) {
      const crs = crsByEpsg(epsg);
      if (crs === undefined) throw new Error(`no system ${epsg}`);
      const { x, y } = crsConverter(crs).fromLonLat(lon, lat);
      const [east, north] = await first(`?crs=${EPSG}${epsg}`);
      expect(east).toBeCloseTo(x, 3);
      expect(north).toBeCloseTo(y, 3);
    }
  });

  it('/req/crs/ogc-crs-header-value: says the system in brackets on lists and features, whatever was asked', async () => {
    const headerOf = async (path: string) => (await get(path)).headers.get('content-crs');
    expect(await headerOf('/collections/station/items')).toBe(`<${CRS84_URI}>`);
    expect(await headerOf(`/collections/station/items?crs=${EPSG}25832`)).toBe(`<${EPSG}25832>`);
    expect(await headerOf(`/collections/station/items/test-garden.station-1?crs=${EPSG}4326`)).toBe(`<${EPSG}4326>`);
  });

  it('/req/crs/bbox-crs-action: the same box in any system finds the same, by the order of its axes', async () => {
    const count = async (query: string) => (await (await get(`/collections/peg/items?${query}`)).json()).numberMatched;
    const west = await count('bbox=10.5,52.25,10.50005,52.2503');
    expect(west).toBeGreaterThan(0);
    expect(west).toBeLessThan(await service().pegCount('test-garden'));
    expect(await count(`bbox=52.25,10.5,52.2503,10.50005&bbox-crs=${EPSG}4326`)).toBe(west);
    expect(await count(`bbox=10.5,52.25,10.50005,52.2503&bbox-crs=${EPSG}4326`)).toBe(0);
    const crs = crsByEpsg(25832);
    if (crs === undefined) throw new Error('no system 25832');
    const corner = crsConverter(crs).fromLonLat(10.5001, 52.25005);
    const box = [corner.x - 5, corner.y - 5, corner.x + 5, corner.y + 5];
    const { features } = await (await get(`/collections/peg/items?crs=${EPSG}25832`)).json();
    const inside = features.filter(
      ({
        geometry: {
          coordinates: [x, y],
        },
      }: {
        geometry: { coordinates: number[] };
      }) => x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3],
    );
    expect(await count(`bbox=${box.join(',')}&bbox-crs=${EPSG}25832`)).toBe(inside.length);
    expect(inside.length).toBeGreaterThan(0);
  });

  it.each(['crs', 'bbox-crs', 'filter-crs'])('/req/crs: refuses an unknown %s', async (name) => {
    for (const uri of ['http://www.opengis.net/def/crs/0/unsupported', `${EPSG}2056`, 'EPSG:4326']) {
      expect((await get(`/collections/station/items?bbox=0,0,1,1&${name}=${encodeURIComponent(uri)}`)).status).toBe(
        400,
      );
    }
  });
});
