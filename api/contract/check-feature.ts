import { isObject } from '#geo-core/model/is-object.ts';
import type { ProblemList } from '#geo-core/model/problem.ts';
import { LIST_DEPTHS, type SiteFeatureInput, type SiteGeometryInput } from '#geo-core/model/site.ts';
import { nounOf } from './noun-of.ts';

export type FeatureTally = { positions: number };
type Path = readonly (string | number)[];

/** RFC 7946 section 3.1.8 asks not to nest collections at all; this bounds the recursion. */
const COLLECTION_DEPTH_MAX = 8;

const GEOMETRY_TYPES = [...LIST_DEPTHS.keys(), 'GeometryCollection'].join(', ');
/** Words for a value found where `depth` lists around positions are wanted. */
const WANTED = ['a position', 'a list of positions', 'a list of lists of positions', 'a list of polygons'];

/**
 * Is it a GeoJSON Feature by structure (RFC 7946)? Every fault goes to `list` with its pointer, positions are counted. Written by
 * hand because a site may have 100,000 positions and one fault each: nothing is made for a position that is right.
 */
export function checkFeature(
  value: unknown,
  path: Path,
  list: ProblemList,
  tally: FeatureTally,
): value is SiteFeatureInput {
  if (!isObject(value)) {
    list.add(path, `a feature is an object, this is ${nounOf(value)}`);
    return false;
  }
  if (value.type !== 'Feature') list.add([...path, 'type'], 'the type of a feature is "Feature"');
  if (value.id !== undefined && typeof value.id !== 'string' && typeof value.id !== 'number') {
    list.add([...path, 'id'], `an id is text or a number, this is ${nounOf(value.id)}`);
  }
  if (value.properties === undefined) {
    list.add(path, 'the feature has no member "properties" (an object or null); kind belongs there');
  } else if (value.properties !== null && !isObject(value.properties)) {
    list.add([...path, 'properties'], `properties are an object or null, this is ${nounOf(value.properties)}`);
  }
  checkBbox(value.bbox, [...path, 'bbox'], list);
  if (value.geometry === undefined) list.add(path, 'the feature has no member "geometry" (an object or null)');
  else if (value.geometry !== null) checkGeometry(value.geometry, [...path, 'geometry'], list, tally, 0);
  return true;
}

/** A bbox is nothing the planner reads, but a wrong one means that something else is wrong. */
export function checkBbox(value: unknown, path: Path, list: ProblemList): void {
  if (value === undefined) return;
  if (!Array.isArray(value) || (value.length !== 4 && value.length !== 6) || !value.every(Number.isFinite)) {
    list.add(path, 'a bbox is a list of 4 or 6 numbers');
  }
}

function checkGeometry(
  value: unknown,
  path: Path,
  list: ProblemList,
  tally: FeatureTally,
  depth: number,
): value is SiteGeometryInput {
  if (!isObject(value)) {
    list.add(path, `a geometry is an object, this is ${nounOf(value)}`);
    return false;
  }
  checkBbox(value.bbox, [...path, 'bbox'], list);
  if (value.type === 'GeometryCollection') {
    if (depth >= COLLECTION_DEPTH_MAX) list.add(path, `collections are nested deeper than ${COLLECTION_DEPTH_MAX}`);
    else if (!Array.isArray(value.geometries)) list.add([...path, 'geometries'], 'geometries is a list of geometries');
    else {
      value.geometries.forEach((part, index) => {
        checkGeometry(part, [...path, 'geometries', index], list, tally, depth + 1);
      });
    }
    return true;
  }
  const listDepth = LIST_DEPTHS.get(value.type);
  if (listDepth === undefined) list.add([...path, 'type'], `the type of a geometry is one of ${GEOMETRY_TYPES}`);
  else if (value.coordinates === undefined) list.add(path, 'the geometry has no member "coordinates"');
  else checkCoordinates(value.coordinates, listDepth, [...path, 'coordinates'], list, tally);
  return true;
}

function checkCoordinates(value: unknown, listDepth: number, path: Path, list: ProblemList, tally: FeatureTally): void {
  if (!Array.isArray(value) || (listDepth > 0 && typeof value[0] === 'number')) {
    list.add(path, `this is ${nounOf(value)} where ${WANTED[listDepth]} is wanted`);
    return;
  }
  if (listDepth === 0) {
    checkPosition(value, path, list, tally);
    return;
  }
  for (let i = 0; i < value.length; i++) {
    const inner: unknown = value[i];
    if (listDepth === 1 && isGoodPosition(inner)) tally.positions++;
    else checkCoordinates(inner, listDepth - 1, [...path, i], list, tally);
  }
}

function checkPosition(value: readonly unknown[], path: Path, list: ProblemList, tally: FeatureTally): void {
  tally.positions++;
  if (isGoodPosition(value)) return;
  const wrong = value.findIndex((part) => !isFiniteNumber(part));
  if (value.length < 2) list.add(path, `a position has two numbers, longitude and latitude; this has ${value.length}`);
  else if (Array.isArray(value[wrong])) list.add(path, 'this is a list where a position is wanted: one list too deep');
  else list.add([...path, wrong], `a coordinate is a finite number, this is ${nounOf(value[wrong])}`);
}

function isGoodPosition(value: unknown): boolean {
  return Array.isArray(value) && value.length >= 2 && value.every(isFiniteNumber);
}

function isFiniteNumber(value: unknown): value is number {
  return Number.isFinite(value);
}
