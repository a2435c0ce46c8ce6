import { PLAN_KINDS, type Plan, type PlanFeature } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import { Message } from './message.ts';
import type { PlanFormat } from './plan-format.ts';
import { encodeTileGeometry, TILE_GEOMETRY_TYPES, type TileGeometryType, type TilePlace } from './tile-geometry.ts';
import { placeInTile, squarePlace, TILE_EXTENT, type Tile, tileAt } from './tile-grid.ts';

const DEEPEST_ZOOM = 24;

/** Field numbers of the Vector Tile Specification 2.1, section 4. */
const TILE = { layers: 3 };
const LAYER = { name: 1, features: 2, keys: 3, values: 4, extent: 5, version: 15 };
const FEATURE = { id: 1, tags: 2, type: 3, geometry: 4 };
const VALUE = { text: 1, double: 3 };

/** One vector tile: the tile of the plan's middle at the deepest zoom that is not smaller than the plan, a layer for each kind. */
export const mvt: PlanFormat = {
  id: 'mvt',
  mediaType: 'application/vnd.mapbox-vector-tile',
  extension: 'mvt',
  title: 'Vector tile of the plan',
  write: (plan) => encodePlanTile(plan, planTile(plan)),
};

/** The tile that `write` fills; tile 0/0/0 for a plan without features. */
export function planTile({ bbox }: Plan): Tile {
  if (bbox === undefined) return { z: 0, column: 0, row: 0 };
  const [west, south, east, north] = bbox;
  const unrolledEast = east < west ? east + 360 : east;
  const upperLeft = squarePlace(west, north);
  const lowerRight = squarePlace(unrolledEast, south);
  const side = Math.max(lowerRight.east - upperLeft.east, lowerRight.south - upperLeft.south);
  const z = Math.min(DEEPEST_ZOOM, Math.max(0, Math.floor(-Math.log2(side))));
  const middle = (west + unrolledEast) / 2;
  return tileAt(middle > 180 ? middle - 360 : middle, (south + north) / 2, z);
}

/**
 * The features of a plan in the coordinates of a tile. What lies past its edge keeps coordinates outside 0 to 4096, as the
 * specification allows for a buffer; nothing is clipped. Lists among the properties are left out: tiles know none.
 */
export function encodePlanTile({ features }: Pick<Plan, 'features'>, tile: Tile): Uint8Array {
  const message = new Message();
  for (const kind of PLAN_KINDS) {
    const own = features.filter((feature) => feature.properties.kind === kind);
    if (own.length > 0) message.message(TILE.layers, layerOf(kind, own, tile));
  }
  return message.bytes();
}

function layerOf(name: string, features: readonly PlanFeature[], tile: Tile): Message {
  const keys = new Map<string, number>();
  const values = new Map<string | number, number>();
  const layer = new Message().varint(LAYER.version, 2).text(LAYER.name, name);
  features.forEach((feature, i) => {
    const { type, lines } = tileShape(feature, tile);
    if (lines.length === 0) return;
    layer.message(
      LAYER.features,
      new Message()
        .varint(FEATURE.id, i + 1)
        .packed(FEATURE.tags, tagsOf(feature, keys, values))
        .varint(FEATURE.type, TILE_GEOMETRY_TYPES[type])
        .packed(FEATURE.geometry, encodeTileGeometry(type, lines)),
    );
  });
  for (const key of keys.keys()) layer.text(LAYER.keys, key);
  for (const value of values.keys()) {
    const entry = new Message();
    layer.message(
      LAYER.values,
      typeof value === 'string' ? entry.text(VALUE.text, value) : entry.double(VALUE.double, value),
    );
  }
  return layer.varint(LAYER.extent, TILE_EXTENT);
}

/** Pairs of indices into the layer's keys and values, which grow as needed. */
function tagsOf(
  { id, properties }: PlanFeature,
  keys: Map<string, number>,
  values: Map<string | number, number>,
): number[] {
  return Object.entries({ id, ...properties }).flatMap(([key, value]) =>
    typeof value === 'string' || typeof value === 'number' ? [numberOf(keys, key), numberOf(values, value)] : [],
  );
}

function numberOf<Key>(numbers: Map<Key, number>, key: Key): number {
  const known = numbers.get(key) ?? numbers.size;
  numbers.set(key, known);
  return known;
}

/** Whole-numbered lines; what rounding leaves no line or ring of is left out, a hole goes with its outer ring. */
function tileShape({ geometry }: PlanFeature, tile: Tile): { type: TileGeometryType; lines: TilePlace[][] } {
  const place = ([lonDeg, latDeg]: readonly [number, number]) => placeInTile(lonDeg, latDeg, tile);
  if (geometry.type === 'Point') return { type: 'point', lines: [positionsOf(geometry).map(place)] };
  if (geometry.type === 'LineString' || geometry.type === 'MultiLineString') {
    const lines = linesOf(geometry).map((line) => withoutRepeats(line.map(place)));
    return { type: 'line', lines: lines.filter((line) => line.length > 1) };
  }
  const polygons = polygonsOf(geometry).map((rings) => rings.map((ring, i) => tileRing(ring.map(place), i === 0)));
  return {
    type: 'polygon',
    lines: polygons.flatMap(([outer, ...holes]) =>
      outer ? [outer, ...holes.filter((hole) => hole !== undefined)] : [],
    ),
  };
}

/** Outer rings get a positive shoelace area (y runs south), holes a negative one. */
function tileRing(closed: readonly TilePlace[], isOuter: boolean): TilePlace[] | undefined {
  const ring = withoutRepeats(closed).slice(0, -1);
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
