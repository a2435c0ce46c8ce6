import type { TilePlace } from './tile-geometry.ts';

/**
 * The tile matrix set WebMercatorQuad (OGC 17-083r4): at zoom z the spherical Mercator square of 2 pi 6378137 m is cut into 2^z by
 * 2^z tiles, columns counted from the west, rows from the top.
 */
export type Tile = { readonly z: number; readonly column: number; readonly row: number };

/** Share of the square east of its west side and south of its top side, 0 to 1 each. */
export type SquarePlace = { readonly east: number; readonly south: number };

/** Units along the side of a tile. */
export const TILE_EXTENT = 4096;
/** Half the side of the square, metres. */
export const HALF_SQUARE_M = Math.PI * 6_378_137;
/** Where the square ends: atan(sinh(pi)), degrees. */
export const MAX_LATITUDE_DEG = 85.0511287798066;

export function squarePlace(lonDeg: number, latDeg: number): SquarePlace {
  const latitude = (Math.min(MAX_LATITUDE_DEG, Math.max(-MAX_LATITUDE_DEG, latDeg)) * Math.PI) / 180;
  return { east: (lonDeg + 180) / 360, south: 0.5 - Math.asinh(Math.tan(latitude)) / (2 * Math.PI) };
}

export function tileAt(lonDeg: number, latDeg: number, z: number): Tile {
  const { east, south } = squarePlace(lonDeg, latDeg);
  const count = 2 ** z;
  const within = (share: number) => Math.min(count - 1, Math.max(0, Math.floor(share * count)));
  return { z, column: within(east), row: within(south) };
}

/** Longitude and latitude of the upper left corner of a tile, degrees. */
export function tileCorner({ z, column, row }: Tile): readonly [number, number] {
  const latitude = Math.atan(Math.sinh(Math.PI * (1 - (2 * row) / 2 ** z)));
  return [(column / 2 ** z) * 360 - 180, (latitude * 180) / Math.PI];
}

/**
 * Whole-numbered place in a tile of 4096 units, x east and y south of its upper left corner; outside the tile beyond 0 to 4096. What
 * would lie half a world away is taken for the other side of the antimeridian.
 */
export function placeInTile(lonDeg: number, latDeg: number, { z, column, row }: Tile): TilePlace {
  const { east, south } = squarePlace(lonDeg, latDeg);
  const columns = east * 2 ** z - column;
  const near = z === 0 ? columns : columns - 2 ** z * Math.round(columns / 2 ** z);
  return [Math.round(near * TILE_EXTENT), Math.round((south * 2 ** z - row) * TILE_EXTENT)];
}
