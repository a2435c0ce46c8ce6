import type { Geometry, Position } from '#api/store/geometry.ts';
import {
  encodeTileGeometry,
  Message,
  placeInTile,
  TILE_EXTENT,
  TILE_GEOMETRY_TYPES,
  type Tile,
  type TileGeometryType,
  type TilePlace,
} from '#geo-core/index.ts';
import { BUFFER, clipLine, clipRing } from './clip.ts';

/** Field numbers of the Vector Tile Specification 2.1, section 4. */
const LAYER = { name: 1, features: 2, keys: 3, values: 4, extent: 5, version: 15 };
const FEATURE = { id: 1, tags: 2, type: 3, geometry: 4 };
const VALUE = { text: 1, double: 3, flag: 7 };

export type TileFeature = {
  readonly id: string;
  readonly geometry: Geometry;
  readonly properties: Readonly<Record<string, unknown>>;
};

const BOUNDS = { low: -BUFFER, high: TILE_EXTENT + BUFFER };
type Scalar = string | number | boolean;

/** A layer of a vector tile, clipped, not simplified; undefined where nothing of the features lies in the tile. */
export function encodeLayer(name: string, features: readonly TileFeature[], tile: Tile): Message | undefined {
  const keys = new Map<string, number>();
  const values = new Map<Scalar, number>();
  const layer = new Message().varint(LAYER.version, 2).text(LAYER.name, name);
  let isEmpty = true;
  for (const { id, geometry, properties } of features) {
    const { type, lines } = tileShape(geometry, tile);
    if (lines.length === 0) continue;
    isEmpty = false;
    const tags = Object.entries({ ...properties, id }).flatMap(([key, value]) =>
      isScalar(value) ? [numberOf(keys, key), numberOf(values, value)] : [],
    );
    layer.message(
      LAYER.features,
      new Message()
        .varint(FEATURE.id, hashOf(id))
        .packed(FEATURE.tags, tags)
        .varint(FEATURE.type, TILE_GEOMETRY_TYPES[type])
        .packed(FEATURE.geometry, encodeTileGeometry(type, lines)),
    );
  }
  if (isEmpty) return undefined;
  for (const key of keys.keys()) layer.text(LAYER.keys, key);
  for (const value of values.keys()) layer.message(LAYER.values, valueMessage(value));
  return layer.varint(LAYER.extent, TILE_EXTENT);
}

function valueMessage(value: Scalar): Message {
  if (typeof value === 'string') return new Message().text(VALUE.text, value);
  if (typeof value === 'boolean') return new Message().varint(VALUE.flag, value ? 1 : 0);
  return new Message().double(VALUE.double, value);
}

function isScalar(value: unknown): value is Scalar {
  return typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean';
}

function numberOf<Key>(numbers: Map<Key, number>, key: Key): number {
  const known = numbers.get(key) ?? numbers.size;
  numbers.set(key, known);
  return known;
}

/** Ids of tiles are numbers: 31 bits of FNV-1a, the same in every tile; the text stays among the properties. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash & 0x7fffffff;
}

function tileShape(geometry: Geometry, tile: Tile): { type: TileGeometryType; lines: TilePlace[][] } {
  const place = ([lon, lat]: Position) => placeInTile(lon, lat, tile);
  switch (geometry.type) {
    case 'Point':
      return { type: 'point', lines: pointsIn([geometry.coordinates].map(place)) };
    case 'MultiPoint':
      return { type: 'point', lines: pointsIn(geometry.coordinates.map(place)) };
    case 'LineString':
      return { type: 'line', lines: linesIn([geometry.coordinates.map(place)]) };
    case 'MultiLineString':
      return { type: 'line', lines: linesIn(geometry.coordinates.map((line) => line.map(place))) };
    case 'Polygon':
      return { type: 'polygon', lines: ringsIn(geometry.coordinates.map((ring) => ring.map(place))) };
    case 'MultiPolygon':
      return {
        type: 'polygon',
        lines: geometry.coordinates.flatMap((rings) => ringsIn(rings.map((ring) => ring.map(place)))),
      };
  }
}

function pointsIn(points: readonly TilePlace[]): TilePlace[][] {
  const inside = points.filter(([x, y]) => x >= BOUNDS.low && x <= BOUNDS.high && y >= BOUNDS.low && y <= BOUNDS.high);
  return inside.length === 0 ? [] : [inside];
}

function linesIn(lines: readonly (readonly TilePlace[])[]): TilePlace[][] {
  return lines
    .flatMap((line) => clipLine(line, BOUNDS))
    .map(withoutRepeats)
    .filter((line) => line.length > 1);
}

/** Clipped rings: outer ones get a positive shoelace area (y runs south), holes a negative one; holes go with their outer ring. */
function ringsIn(rings: readonly (readonly TilePlace[])[]): TilePlace[][] {
  const [outer, ...holes] = rings.map((ring, i) => tileRing(clipRing(ring.slice(0, -1), BOUNDS), i === 0));
  return outer === undefined ? [] : [outer, ...holes.filter((hole) => hole !== undefined)];
}

function tileRing(clipped: readonly TilePlace[], isOuter: boolean): TilePlace[] | undefined {
  const ring = withoutRepeats([...clipped, ...clipped.slice(0, 1)]).slice(0, -1);
  let twice = 0;
  ring.forEach(([x, y], i) => {
    const [nextX, nextY] = ring[(i + 1) % ring.length];
    twice += x * nextY - nextX * y;
  });
  if (ring.length < 3 || twice === 0) return undefined;
  return twice > 0 === isOuter ? ring : ring.toReversed();
}

function withoutRepeats(line: readonly TilePlace[]): TilePlace[] {
  return line.filter(([x, y], i) => i === 0 || x !== line[i - 1][0] || y !== line[i - 1][1]);
}
