import { isObject } from '#geo-core/model/is-object.ts';
import { LIST_DEPTHS, type PositionInput } from '#geo-core/model/site.ts';

export type PathToken = string | number;

type Visit = (position: PositionInput, path: readonly PathToken[]) => void;

/**
 * Calls `visit` for every position of a GeoJSON geometry, with the path to it (`['geometry', 'coordinates', 0, 7]` for base
 * `['geometry']`). Nothing is trusted: what is not two numbers at the depth of a position is passed over. The path is one array
 * that changes from call to call: copy what must last.
 */
export function walkPositions(geometry: unknown, base: readonly PathToken[], visit: Visit): void {
  if (!isObject(geometry)) return;
  if (geometry.type === 'GeometryCollection') {
    if (!Array.isArray(geometry.geometries)) return;
    for (const [index, part] of geometry.geometries.entries()) {
      walkPositions(part, [...base, 'geometries', index], visit);
    }
    return;
  }
  const listDepth = LIST_DEPTHS.get(geometry.type);
  if (listDepth !== undefined) walkLists(geometry.coordinates, listDepth, [...base, 'coordinates'], visit);
}

function walkLists(value: unknown, listDepth: number, path: PathToken[], visit: Visit): void {
  if (listDepth === 0) {
    if (isPosition(value)) visit(value, path);
    return;
  }
  if (!Array.isArray(value)) return;
  const depth = path.length;
  for (let i = 0; i < value.length; i++) {
    path[depth] = i;
    walkLists(value[i], listDepth - 1, path, visit);
  }
  path.length = depth;
}

function isPosition(value: unknown): value is PositionInput {
  return Array.isArray(value) && typeof value[0] === 'number' && typeof value[1] === 'number';
}
