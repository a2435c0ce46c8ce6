import { expect, test } from 'vitest';
import { commandInteger, encodeTileGeometry, type TileGeometryType } from '#geo-core/formats/tile-geometry.ts';
import { publishedFormats } from '../../support/published-formats.ts';

const { command_integers: commands, ...shapes } = publishedFormats.mvt;
const types: Readonly<Record<string, TileGeometryType>> = {
  point: 'point',
  multipoint: 'point',
  linestring: 'line',
  multilinestring: 'line',
  polygon: 'polygon',
  multipolygon_with_hole: 'polygon',
};

test.each(commands)('command $id repeated $count times is $value', ({ id, count, value }) => {
  expect(commandInteger(id, count)).toBe(value);
});

test.each(Object.entries(types))('the %s of the specification becomes its integers', (name, type) => {
  const { coords, encoded } = shapes[name] as { coords: never[]; encoded: number[] };
  const isOneLine = name === 'linestring' || name === 'polygon' || type === 'point';
  expect(encodeTileGeometry(type, isOneLine ? [coords] : coords)).toEqual(encoded);
});
