import type { PositionInput, SiteGeometryInput } from '#geo-core/model/site.ts';

export type PathToken = string | number;

/**
 * Calls `visit` for every position of a geometry, with the path to it (`['geometry', 'coordinates', 0, 7]` for base
 * `['geometry']`). The path is one array that changes from call to call: copy what must last.
 */
export function walkPositions(
  geometry: SiteGeometryInput,
  base: readonly PathToken[],
  visit: (position: PositionInput, path: readonly PathToken[]) => void,
): void {
  if (geometry.type === 'GeometryCollection') {
    geometry.geometries.forEach((part, index) => {
      walkPositions(part, [...base, 'geometries', index], visit);
    });
    return;
  }
  const path: PathToken[] = [...base, 'coordinates'];
  const walkList = (positions: readonly PositionInput[]): void => {
    const depth = path.length;
    for (let i = 0; i < positions.length; i++) {
      path[depth] = i;
      visit(positions[i], path);
    }
    path.length = depth;
  };
  const walkLists = (lists: readonly (readonly PositionInput[])[]): void => {
    const depth = path.length;
    for (let i = 0; i < lists.length; i++) {
      path[depth] = i;
      walkList(lists[i]);
    }
    path.length = depth;
  };
  switch (geometry.type) {
    case 'Point':
      visit(geometry.coordinates, path);
      break;
    case 'MultiPoint':
    case 'LineString':
      walkList(geometry.coordinates);
      break;
    case 'MultiLineString':
    case 'Polygon':
      walkLists(geometry.coordinates);
      break;
    case 'MultiPolygon':
      geometry.coordinates.forEach((polygon, index) => {
        path[path.length] = index;
        walkLists(polygon);
        path.length -= 1;
      });
      break;
  }
}
