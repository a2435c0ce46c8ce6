import type { Collection, Field } from '#api/collections/collections.ts';
import { type CrsWay, crsUris, crsWay, geometryIn } from '#api/collections/coordinate-systems.ts';
import { compileFilter, type Test } from '#api/filter/compile-filter.ts';
import { FilterError } from '#api/filter/filter-error.ts';
import { parseJson } from '#api/filter/parse-json.ts';
import { parseText } from '#api/filter/parse-text.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Extent, FeatureQuery, KeptFeature } from '#api/store/features.ts';
import type { Box, Position } from '#api/store/geometry.ts';
import { itemProperties } from './item-feature.ts';
import { meetsBox } from './meets-box.ts';
import { readDatetime } from './read-datetime.ts';

export const LIMIT = { minimum: 1, maximum: 10_000, default: 1_000 } as const;
/** Parameters of a list of features beside those every resource takes. */
export const ITEM_PARAMETERS = [
  'limit',
  'offset',
  'after',
  'bbox',
  'bbox-crs',
  'crs',
  'datetime',
  'filter',
  'filter-lang',
  'filter-crs',
];
const NAME_MAX = 200;

export type ItemsQuery = {
  readonly wanted: FeatureQuery;
  /** What the store cannot tell; undefined where it can tell all. */
  readonly test: ((feature: KeptFeature) => boolean) | undefined;
  readonly way: CrsWay;
  readonly limit: number;
  readonly offset: number;
};

type Asked = {
  readonly query: ReadonlyMap<string, string>;
  readonly tenant: string;
  readonly siteId: string | undefined;
  readonly collection: Collection;
  readonly extent: Extent | undefined;
};

/** Properties that may be asked for by a parameter of their name (`kind=lawn`). */
export function parameterFields({ fields }: Collection): [string, Field][] {
  return Object.entries(fields).filter(([, { type }]) => type !== 'array');
}

/** Parameters of a list of features -> what to look for; 400 for any that says nothing. */
export function readItemsQuery({ query, tenant, siteId, collection, extent }: Asked): ItemsQuery {
  const offered = crsUris(extent?.box);
  const way = crsWay('crs', query.get('crs'), offered);
  const tests: ((feature: KeptFeature) => boolean)[] = [];
  const boxes = readBoxes(query, offered, tests);
  const { from, to } = readDatetime(query.get('datetime'));
  for (const [name, field] of parameterFields(collection)) {
    const value = query.get(name);
    if (value !== undefined && name !== 'site') tests.push(equals(collection, name, field, value));
  }
  const filter = readFilter(query, collection, offered);
  if (filter !== undefined) tests.push(filter);
  const asked = query.get('site');
  return {
    wanted: {
      tenant,
      collection: collection.id,
      site: siteId ?? ('site' in collection.fields ? asked : undefined),
      boxes,
      updatedFrom: from,
      updatedTo: to,
      after: query.get('after')?.slice(0, NAME_MAX),
    },
    test:
      tests.length === 0 && (siteId === undefined || asked === undefined || asked === siteId)
        ? undefined
        : (feature) =>
            (asked === undefined || !('site' in collection.fields) || feature.siteId === asked) &&
            tests.every((test) => test(feature)),
    way,
    limit: Math.min(LIMIT.maximum, whole('limit', query.get('limit'), 1) ?? LIMIT.default),
    offset: whole('offset', query.get('offset'), 0) ?? 0,
  };
}

function whole(name: string, text: string | undefined, least: number): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text);
  if (/^\d{1,9}$/.test(text) && value >= least) return value;
  throw wrong(`${name}="${text.slice(0, 40)}" is not a whole number of ${least} or more`);
}

/** One box of longitude and latitude for the store, or two across the antimeridian; the exact test goes to `tests`. */
function readBoxes(
  query: ReadonlyMap<string, string>,
  offered: readonly string[],
  tests: ((feature: KeptFeature) => boolean)[],
): Box[] | undefined {
  const way = crsWay('bbox-crs', query.get('bbox-crs'), offered);
  const text = query.get('bbox');
  if (text === undefined) return undefined;
  const numbers = text.split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  if ((numbers.length !== 4 && numbers.length !== 6) || !numbers.every(Number.isFinite)) {
    throw wrong(`bbox="${text.slice(0, 80)}" is not four or six numbers: west, south, east, north`);
  }
  const half = numbers.length / 2;
  const [a, b] = numbers;
  const [c, d] = numbers.slice(half);
  if (way.isLonLat) {
    if (b > d) throw wrong(`bbox="${text.slice(0, 80)}": its south lies north of its north`);
    const boxes: Box[] =
      a <= c
        ? [[a, b, c, d]]
        : [
            [a, b, 180, d],
            [-180, b, c, d],
          ];
    tests.push(({ geometry, box }) => boxes.some((one) => isWithin(box, one) || meetsBox(geometry, one)));
    return boxes;
  }
  if (a > c || b > d) throw wrong(`bbox="${text.slice(0, 80)}": its first corner is not the lower one`);
  const exact: Box = [a, b, c, d];
  tests.push(({ geometry }) => meetsBox(geometryIn(way, geometry), exact));
  return [around(exact, way)];
}

function isWithin([west, south, east, north]: Box, outer: Box): boolean {
  return west >= outer[0] && south >= outer[1] && east <= outer[2] && north <= outer[3];
}

const STEPS = 16;
/** Curved sides bulge between the places that are looked at: a share of the box is added. */
const BULGE_SHARE = 0.02;

/** A box of longitude and latitude around a box of another system. */
function around([a, b, c, d]: Box, way: CrsWay): Box {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i <= STEPS; i++) {
    const [u, v] = [a + ((c - a) * i) / STEPS, b + ((d - b) * i) / STEPS];
    for (const place of [
      [u, b],
      [u, d],
      [a, v],
      [c, v],
    ]) {
      const [lon, lat] = way.toLonLat(place);
      if (!Number.isFinite(lon) || !Number.isFinite(lat)) return [-180, -90, 180, 90];
      west = Math.min(west, lon);
      south = Math.min(south, lat);
      east = Math.max(east, lon);
      north = Math.max(north, lat);
    }
  }
  if (east - west > 180) return [-180, -90, 180, 90];
  const [growLon, growLat] = [(east - west) * BULGE_SHARE, (north - south) * BULGE_SHARE];
  return [west - growLon, south - growLat, east + growLon, north + growLat];
}

function equals(
  collection: Collection,
  name: string,
  { type }: Field,
  text: string,
): (feature: KeptFeature) => boolean {
  const wanted = typed(name, type, text);
  return (feature) => itemProperties(collection, feature)[name] === wanted;
}

function typed(name: string, type: Field['type'], text: string): string | number | boolean {
  if (type === 'boolean') {
    if (text === 'true' || text === 'false') return text === 'true';
    throw wrong(`${name}="${text.slice(0, 40)}" is neither true nor false`);
  }
  if (type !== 'number' && type !== 'integer') return text;
  const value = Number(text);
  if (text.trim() !== '' && Number.isFinite(value)) return value;
  throw wrong(`${name}="${text.slice(0, 40)}" is no number`);
}

const LANGUAGES = { 'cql2-text': parseText, 'cql2-json': parseJson } as const;
export const FILTER_LANGUAGES = Object.keys(LANGUAGES);

function readFilter(
  query: ReadonlyMap<string, string>,
  collection: Collection,
  offered: readonly string[],
): ((feature: KeptFeature) => boolean) | undefined {
  const language = query.get('filter-lang') ?? 'cql2-text';
  if (language !== 'cql2-text' && language !== 'cql2-json') {
    throw wrong(`filter-lang="${language.slice(0, 40)}" is not known; known are ${FILTER_LANGUAGES.join(', ')}`);
  }
  const way = crsWay('filter-crs', query.get('filter-crs'), offered);
  const text = query.get('filter');
  if (text === undefined) return undefined;
  let test: Test;
  try {
    test = compileFilter(LANGUAGES[language](text), {
      isKnown: (name) => name === 'id' || name === 'geometry' || Object.hasOwn(collection.fields, name),
      geometryName: 'geometry',
      place: (position) => placeOf(position, way),
    });
  } catch (error) {
    if (error instanceof FilterError) throw wrong(`filter: ${error.message}`);
    throw error;
  }
  return (feature) => {
    const properties = { ...itemProperties(collection, feature), id: feature.id };
    return test({ geometry: feature.geometry, properties }) === true;
  };
}

function placeOf(position: Position, way: CrsWay): Position {
  const [lon, lat] = way.toLonLat(position);
  if (Math.abs(lon) <= 180 && Math.abs(lat) <= 90) return [lon, lat];
  throw new FilterError(`${position.join(' ')} is no place on earth in ${way.uri}`);
}

function wrong(detail: string): HttpProblem {
  return new HttpProblem({ code: 'invalid-parameter', detail });
}
