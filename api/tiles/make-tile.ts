import { COLLECTIONS, type Collection } from '#api/collections/collections.ts';
import type { FeatureStore, KeptFeature } from '#api/store/features.ts';
import type { Box } from '#api/store/geometry.ts';
import { Message, placeInTile, TILE_EXTENT, type Tile, tileCorner } from '#geo-core/index.ts';
import { BUFFER } from './clip.ts';
import { encodeLayer, type TileFeature } from './encode-layer.ts';

export const ZOOM_MAX = 20;
/** From here on features have their shape; before, points stand for them, one for all that share a place. */
export const SHAPES_FROM_ZOOM = 13;
/** Before this zoom the tiles of the whole hold plans only. */
const SMALL_FROM_ZOOM: Readonly<Record<string, number>> = {
  peg: 17,
  splice: 15,
  'station-candidate': 16,
  findings: 15,
};
/** Places along the side of a tile that points are gathered to. */
const PLACES = 16;
const LAYERS_FIELD = 3;

export type TileScope = { readonly tenant: string; readonly site: string | undefined };

/** A vector tile of one collection, or of the whole; no bytes where nothing lies in it. */
export async function makeTile(
  store: FeatureStore,
  scope: TileScope,
  collection: Collection | undefined,
  tile: Tile,
): Promise<Uint8Array> {
  const layers = collection === undefined ? wholeLayers(tile.z) : [collection];
  const message = new Message();
  for (const layer of layers) {
    const features: KeptFeature[] = [];
    for await (const feature of store.scan({ ...scope, collection: layer.id, boxes: [boxOfTile(tile)] }))
      features.push(feature);
    const drawn = tile.z < SHAPES_FROM_ZOOM ? gathered(layer, features, tile) : features.map(tileFeature);
    const encoded = encodeLayer(layer.id, drawn, tile);
    if (encoded !== undefined) message.message(LAYERS_FIELD, encoded);
  }
  return message.bytes();
}

function wholeLayers(z: number): readonly Collection[] {
  if (z < SHAPES_FROM_ZOOM) return COLLECTIONS.filter(({ id }) => id === 'plans');
  return COLLECTIONS.filter(({ id }) => z >= (SMALL_FROM_ZOOM[id] ?? SHAPES_FROM_ZOOM));
}

function tileFeature({ id, siteId, geometry, properties }: KeptFeature): TileFeature {
  return { id, geometry, properties: { ...properties, site: siteId } };
}

/** A tile with its buffer, in degrees. */
function boxOfTile({ z, column, row }: Tile): Box {
  const margin = BUFFER / TILE_EXTENT;
  const [west, north] = tileCorner({ z, column: column - margin, row: row - margin });
  const [east, south] = tileCorner({ z, column: column + 1 + margin, row: row + 1 + margin });
  return [Math.max(-180, west), south, Math.min(180, east), north];
}

/** Points that stand for features: one alone keeps what it says, several tell how many they are and what they add up to. */
function gathered(collection: Collection, features: readonly KeptFeature[], tile: Tile): TileFeature[] {
  const places = new Map<string, KeptFeature[]>();
  for (const feature of features) {
    const [lon, lat] = middleOf(feature);
    const [x, y] = placeInTile(lon, lat, tile);
    const step = TILE_EXTENT / PLACES;
    // Whose middle lies in another tile belongs to that one, so that sums over tiles are right.
    if (x < 0 || y < 0 || x >= TILE_EXTENT || y >= TILE_EXTENT) continue;
    const key = `${Math.floor(x / step)}.${Math.floor(y / step)}`;
    places.set(key, [...(places.get(key) ?? []), feature]);
  }
  return [...places].map(([key, group]) =>
    groupFeature(collection, `${tile.z}.${tile.column}.${tile.row}.${key}`, group),
  );
}

function middleOf({ box: [west, south, east, north] }: KeptFeature): readonly [number, number] {
  return [(west + east) / 2, (south + north) / 2];
}

function groupFeature({ fields }: Collection, id: string, group: readonly KeptFeature[]): TileFeature {
  const middles = group.map(middleOf);
  const mean = (axis: 0 | 1) => middles.reduce((sum, middle) => sum + middle[axis], 0) / middles.length;
  const geometry = { type: 'Point' as const, coordinates: [mean(0), mean(1)] };
  const [only] = group;
  if (group.length === 1)
    return { ...tileFeature(only), geometry, properties: { ...tileFeature(only).properties, count: 1 } };
  const measures = Object.entries(fields).filter(([, { unit }]) => unit === 'm' || unit === 'm2');
  const totals = measures.map(([name]) => [
    name,
    group.reduce((sum, { properties }) => sum + (typeof properties[name] === 'number' ? properties[name] : 0), 0),
  ]);
  return { id, geometry, properties: { count: group.length, ...Object.fromEntries(totals) } };
}
