import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { VectorTile } from '@mapbox/vector-tile';
import { PbfReader } from 'pbf';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { COLLECTIONS } from '#api/collections/collections.ts';
import { lineLengthM, tileAt } from '#geo-core/index.ts';
import { garden } from '../support/garden.ts';
import { BASE, useKeptService } from '../support/kept-service.ts';
import { drawSite, rectangle, siteOf } from '../support/plane-site.ts';

/** OGC 20-057, OGC API - Tiles - Part 1; OGC 17-083r4, tile matrix sets; Vector Tile Specification 2.1; TileJSON 3.0. */
const service = useKeptService();
const get = (path: string, headers: Record<string, string> = {}) =>
  service().request(path.startsWith('http') ? path : `/ogc${path}`, { headers });
const json = async (path: string) => (await get(path)).json();
const MVT = 'application/vnd.mapbox-vector-tile';
type Position = [number, number];

const station = async (): Promise<Position> =>
  (await json('/collections/station/items?site=test-garden')).features[0].geometry.coordinates;
async function tileBytes(path: string): Promise<Uint8Array> {
  const answer = await get(path);
  expect([answer.status, answer.headers.get('content-type')]).toEqual([200, MVT]);
  return new Uint8Array(await answer.arrayBuffer());
}
const read = (bytes: Uint8Array) => new VectorTile(new PbfReader(bytes));
const addressOf = (collection: string, z: number, [lon, lat]: Position) => {
  const { row, column } = tileAt(lon, lat, z);
  return `${collection === '' ? '' : `/collections/${collection}`}/tiles/WebMercatorQuad/${z}/${row}/${column}`;
};

const draw = drawSite();
beforeAll(async () => {
  await service().addSite(garden());
  // A second property beside the first, so that something is gathered.
  await service().addSite(siteOf([draw.area('lawn', [rectangle(60, 0, 20, 15)])], { id: 'neighbour' }));
});

describe('tiling schemes and tilesets', () => {
  it('/req/tilematrixset: WebMercatorQuad agrees with the published figures', async () => {
    const { tileMatrices, crs, uri } = await json('/tileMatrixSets/WebMercatorQuad');
    expect([crs, uri]).toEqual([
      'http://www.opengis.net/def/crs/EPSG/0/3857',
      'http://www.opengis.net/def/tilematrixset/OGC/1.0/WebMercatorQuad',
    ]);
    // OGC 17-083r4, annex D.1.
    expect(tileMatrices[0].scaleDenominator).toBeCloseTo(559_082_264.028_717, 4);
    expect(tileMatrices[0].cellSize).toBeCloseTo(156_543.033_928_041, 6);
    expect(tileMatrices[18].scaleDenominator).toBeCloseTo(2_132.729_583_849_84, 6);
    expect(tileMatrices[20]).toMatchObject({
      id: '20',
      matrixWidth: 1_048_576,
      tileWidth: 256,
      cornerOfOrigin: 'topLeft',
    });
    expect((await get('/tileMatrixSets/Nowhere')).status).toBe(404);
  });

  it.each(['', '/collections/zone'])(
    '/req/tileset/description: of "%s" are whole, in the list and alone',
    async (base) => {
      const { tilesets } = await json(`${base}/tiles`);
      const alone = await json(`${base}/tiles/WebMercatorQuad`);
      expect(tilesets[0]).toMatchObject({ dataType: 'vector', tileMatrixSetId: 'WebMercatorQuad' });
      expect(alone.tileMatrixSetLimits).toEqual(tilesets[0].tileMatrixSetLimits);
      const item = tilesets[0].links.find(({ rel }: { rel: string }) => rel === 'item');
      expect(item).toMatchObject({ templated: true, type: MVT });
      expect(item.href).toContain(`${BASE}/ogc${base}/tiles/WebMercatorQuad/{tileMatrix}/{tileRow}/{tileCol}`);
      const place = await station();
      const { row, column } = tileAt(...place, 16);
      const limits = tilesets[0].tileMatrixSetLimits[16];
      expect(
        limits.minTileRow <= row &&
          row <= limits.maxTileRow &&
          limits.minTileCol <= column &&
          column <= limits.maxTileCol,
      ).toBe(true);
      const filled = item.href.replace('{tileMatrix}', '16').replace('{tileRow}', row).replace('{tileCol}', column);
      expect((await get(filled)).status).toBe(200);
    },
  );

  it('are linked from the landing page and from every collection', async () => {
    const rels = (links: { rel: string }[]) =>
      links.map(({ rel }) => rel.replace('http://www.opengis.net/def/rel/ogc/1.0/', ''));
    expect(rels((await json('')).links)).toEqual(
      expect.arrayContaining(['tilesets-vector', 'tiling-schemes', 'styles']),
    );
    expect(rels((await json('/collections/zone')).links)).toContain('tilesets-vector');
  });

  it.each(['', '/collections/zone'])(
    'TileJSON and file metadata of "%s" name the layers and tiles that answer',
    async (base) => {
      const tilejson = await json(`${base}/tiles/tilejson.json`);
      expect(tilejson).toMatchObject({ tilejson: '3.0.0', minzoom: 0, maxzoom: 20 });
      const [lon, lat] = await station();
      const { row, column } = tileAt(lon, lat, 17);
      const address = tilejson.tiles[0].replace('{z}', 17).replace('{x}', column).replace('{y}', row);
      const layers = Object.keys(read(await tileBytes(address)).layers);
      const named = tilejson.vector_layers.map(({ id }: { id: string }) => id);
      expect(named).toEqual(expect.arrayContaining(layers));
      const metadata = await json(`${base}/xyz/metadata.json`);
      expect(JSON.parse(metadata.json).vector_layers.map(({ id }: { id: string }) => id)).toEqual(named);
    },
  );
});

describe('vector tiles', () => {
  it('/req/mvt: decode, with a layer for every kind and text ids among the properties', async () => {
    const tile = read(await tileBytes(addressOf('', 18, await station())));
    expect(Object.keys(tile.layers)).toEqual(expect.arrayContaining(['zone', 'route', 'peg', 'station', 'site-areas']));
    const stations = Array.from({ length: tile.layers.station.length }, (_, i) => tile.layers.station.feature(i));
    const [feature] = stations.filter(({ properties }) => properties.site === 'test-garden');
    expect(feature.properties).toMatchObject({ id: 'test-garden.station-1', site: 'test-garden', role: 'charging' });
    expect(Number.isInteger(feature.id)).toBe(true);
    expect(tile.layers.zone.version).toBe(2);
  });

  it('are exact to the centimetre at zoom 20: every vertex of the route lies where the plan has it', async () => {
    const { features } = await json('/collections/route/items?site=test-garden');
    const route: Position[] = features[0].geometry.coordinates;
    let checked = 0;
    for (const vertex of route) {
      const { row, column } = tileAt(...vertex, 20);
      const tile = read(await tileBytes(addressOf('route', 20, vertex)));
      const { geometry } = tile.layers.route.feature(0).toGeoJSON(column, row, 20);
      const lines =
        geometry.type === 'LineString'
          ? [geometry.coordinates]
          : geometry.type === 'MultiLineString'
            ? geometry.coordinates
            : [];
      const nearest = Math.min(...lines.flat().map(([lon, lat]) => metresBetween([lon, lat], vertex)));
      expect(nearest).toBeLessThan(0.01);
      checked += 1;
    }
    expect(checked).toBe(route.length);
  });

  it('hold all of a line, cut at their edges: lengths over all tiles add up', async () => {
    const { features } = await json('/collections/supply-cable/items');
    const whole: Position[] = features[0].geometry.coordinates;
    const wanted = whole.slice(1).reduce((sum, place, i) => sum + metresBetween(whole[i], place), 0);
    const tile = read(await tileBytes(addressOf('supply-cable', 14, whole[0])));
    const { row, column } = tileAt(...whole[0], 14);
    const { geometry } = tile.layers['supply-cable'].feature(0).toGeoJSON(column, row, 14);
    const line = geometry.type === 'LineString' ? geometry.coordinates : [];
    const found = line
      .slice(1)
      .reduce((sum, [lon, lat], i) => sum + metresBetween([line[i][0], line[i][1]], [lon, lat]), 0);
    expect(Math.abs(found - wanted)).toBeLessThan(1);
  });

  it('gather points at low zooms, and tell how many there are and what they add up to', async () => {
    const plans = (await json('/collections/plans/items')).features;
    const wanted = plans.reduce(
      (sum: number, { properties }: { properties: { routeLengthM: number } }) => sum + properties.routeLengthM,
      0,
    );
    for (const z of [0, 5, 12]) {
      const tile = read(await tileBytes(addressOf('', z, await station())));
      expect(Object.keys(tile.layers)).toEqual(['plans']);
      const { properties } = tile.layers.plans.feature(0);
      expect(properties.count).toBe(2);
      expect(properties.routeLengthM).toBeCloseTo(wanted, 6);
    }
  });

  it('/req/core/tc-success: nothing in a tile is 204, no such tile 404, no number 400', async () => {
    expect((await get('/tiles/WebMercatorQuad/10/0/0')).status).toBe(204);
    expect((await get('/tiles/WebMercatorQuad/3/8/0')).status).toBe(404);
    expect((await get('/tiles/WebMercatorQuad/21/0/0')).status).toBe(404);
    expect((await get('/tiles/WebMercatorQuad/a/0/0')).status).toBe(400);
    expect((await get('/collections/moon/tiles/WebMercatorQuad/0/0/0')).status).toBe(404);
  });

  it('are row before column, or column before row under xyz, the same bytes', async () => {
    const place = await station();
    const { row, column } = tileAt(...place, 15);
    expect(row).not.toBe(column);
    expect(await tileBytes(`/xyz/15/${column}/${row}.pbf`)).toEqual(await tileBytes(addressOf('', 15, place)));
  });

  it('are packed where that is accepted, keep an ETag, and change their address and content with the data', async () => {
    const place = await station();
    const address = addressOf('', 16, place);
    const packed = await get(address, { 'accept-encoding': 'gzip' });
    expect(packed.headers.get('content-encoding')).toBe('gzip');
    const etag = packed.headers.get('etag') ?? '';
    expect((await get(address, { 'if-none-match': etag })).status).toBe(304);
    const versioned = (await json('/tiles/tilejson.json')).tiles[0];
    const { row, column } = tileAt(...place, 16);
    const now = versioned.replace('{z}', 16).replace('{x}', column).replace('{y}', row);
    expect((await get(now)).headers.get('cache-control')).toContain('immutable');
    expect((await get(address)).headers.get('cache-control')).toContain('max-age=10');
    const patch = { 'content-type': 'application/merge-patch+json' };
    await service().send(
      'PATCH',
      '/ogc/collections/site-areas/items/test-garden.1',
      { properties: { name: 'Roses' } },
      patch,
    );
    await service().settled();
    expect((await json('/tiles/tilejson.json')).tiles[0]).not.toBe(versioned);
    expect((await get(address, { 'if-none-match': etag })).status).toBe(200);
    expect((await get(now)).headers.get('cache-control')).not.toContain('immutable');
  });

  it('clip what is larger than they are', async () => {
    const tile = read(await tileBytes(addressOf('zone', 20, await station())));
    for (const ring of tile.layers.zone.feature(0).loadGeometry()) {
      for (const { x, y } of ring) {
        expect(Math.min(x, y)).toBeGreaterThanOrEqual(-128);
        expect(Math.max(x, y)).toBeLessThanOrEqual(4096 + 128);
      }
    }
  });
});

describe('styles', () => {
  it('draw every layer from the tiles', async () => {
    const { styles } = await json('/styles');
    expect(styles.length).toBe(COLLECTIONS.length + 1);
    const style = await json('/styles/all');
    expect(style.version).toBe(8);
    const drawn = new Set(style.layers.map((layer: { 'source-layer'?: string }) => layer['source-layer']));
    for (const { id } of COLLECTIONS) expect(drawn).toContain(id);
    expect((await json('/styles/zone')).sources.loopwright.url).toBe(
      `${BASE}/ogc/collections/zone/tiles/tilejson.json`,
    );
    expect((await get('/styles/moon')).status).toBe(404);
  });
});

describe('GDAL', () => {
  const folder = mkdtempSync(join(tmpdir(), 'loopwright-tiles-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  it('opens the tiles with their metadata', async ({ skip }) => {
    if (spawnSync('ogrinfo', ['--version']).error !== undefined) skip('GDAL is not installed');
    const [lon, lat] = await station();
    const { row, column } = tileAt(lon, lat, 16);
    mkdirSync(join(folder, '16', String(column)), { recursive: true });
    writeFileSync(join(folder, '16', String(column), `${row}.pbf`), await tileBytes(`/xyz/16/${column}/${row}.pbf`));
    writeFileSync(join(folder, 'metadata.json'), await (await get('/xyz/metadata.json')).text());
    const { stdout } = spawnSync('ogrinfo', ['-so', '-al', `MVT:${join(folder, '16')}`], { encoding: 'utf8' });
    expect(stdout).toMatch(/Layer name: zone[\s\S]*?Feature Count: [1-9]/);
    expect(stdout).toMatch(/areaM2: Real/);
  });
});

/** Distance in the plane of a few metres around: the tile's own rounding is a hundred times larger than what this leaves out. */
function metresBetween([lonA, latA]: Position, [lonB, latB]: Position): number {
  const metresPerDegree = 111_195;
  const squeeze = Math.cos((latA * Math.PI) / 180);
  return lineLengthM(Float64Array.of(0, 0, (lonB - lonA) * squeeze * metresPerDegree, (latB - latA) * metresPerDegree));
}
