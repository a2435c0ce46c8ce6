import { expect, test } from 'vitest';
import {
  HALF_SQUARE_M,
  MAX_LATITUDE_DEG,
  placeInTile,
  squarePlace,
  tileAt,
  tileCorner,
} from '#geo-core/formats/tile-grid.ts';
import { publishedFormats } from '../../support/published-formats.ts';

const { rows, tile_ul: corners, origin, max_lat: maxLatitudeDeg } = publishedFormats.web_mercator_quad;

test.each(rows)('$name lies in tile $z/$col/$row', ({ lon, lat, z, col, row, x3857, y3857, mvt_x, mvt_y }) => {
  expect(tileAt(lon, lat, z)).toEqual({ z, column: col, row });
  const { east, south } = squarePlace(lon, lat);
  expect((east * 2 - 1) * HALF_SQUARE_M).toBeCloseTo(x3857, 3);
  expect((1 - south * 2) * HALF_SQUARE_M).toBeCloseTo(y3857, 3);
  expect(placeInTile(lon, lat, { z, column: col, row })).toEqual([mvt_x, mvt_y]);
});

test.each(corners)('the upper left corner of $z/$x/$y is $lon, $lat', ({ z, x, y, lon, lat }) => {
  const [lonDeg, latDeg] = tileCorner({ z, column: x, row: y });
  expect(lonDeg).toBe(lon);
  expect(latDeg).toBeCloseTo(lat, 12);
});

test('the square ends where the standard says', () => {
  expect(-HALF_SQUARE_M).toBeCloseTo(origin[0], 6);
  expect(MAX_LATITUDE_DEG).toBe(maxLatitudeDeg);
  expect(squarePlace(0, 89)).toEqual(squarePlace(0, MAX_LATITUDE_DEG));
  expect(squarePlace(180, MAX_LATITUDE_DEG).south).toBeCloseTo(0, 12);
  expect(tileAt(180, -89, 3)).toEqual({ z: 3, column: 7, row: 7 });
});
