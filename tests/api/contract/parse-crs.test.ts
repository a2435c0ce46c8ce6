import { describe, expect, it } from 'vitest';
import { parseCrs } from '#api/contract/parse-crs.ts';

describe('parse crs', () => {
  it.each([
    ['EPSG:28992', 28992, 'east-north', 'EPSG:28992'],
    ['epsg:25832', 25832, 'east-north', 'EPSG:25832'],
    ['28992', 28992, 'east-north', 'EPSG:28992'],
    ['EPSG:4326', 4326, 'east-north', 'EPSG:4326'],
    ['CRS84', 4326, 'east-north', 'http://www.opengis.net/def/crs/OGC/1.3/CRS84'],
    [
      '<http://www.opengis.net/def/crs/OGC/1.3/CRS84>',
      4326,
      'east-north',
      'http://www.opengis.net/def/crs/OGC/1.3/CRS84',
    ],
    ['urn:ogc:def:crs:OGC:1.3:CRS84', 4326, 'east-north', 'http://www.opengis.net/def/crs/OGC/1.3/CRS84'],
    ['http://www.opengis.net/def/crs/EPSG/0/4326', 4326, 'north-east', 'http://www.opengis.net/def/crs/EPSG/0/4326'],
    ['urn:ogc:def:crs:EPSG::28992', 28992, 'east-north', 'http://www.opengis.net/def/crs/EPSG/0/28992'],
    ['<http://www.opengis.net/def/crs/EPSG/0/3006>', 3006, 'north-east', 'http://www.opengis.net/def/crs/EPSG/0/3006'],
  ])('%s is %i, axes %s, called %s', (text, epsg, axisOrder, name) => {
    expect(parseCrs(text)).toMatchObject({ crs: { epsg }, axisOrder, name });
  });

  it.each(['', 'EPSG:', 'EPSG:1', 'EPSG:999999', 'WGS84', 'EPSG:28992 or so', 'http://example.org/EPSG/0/4326'])(
    'does not know "%s"',
    (text) => {
      expect(parseCrs(text)).toBeUndefined();
    },
  );
});
