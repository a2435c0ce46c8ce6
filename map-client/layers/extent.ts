import type { Polygon } from '#geo-core/model/position.ts';

/** The box round some ground, metres; turned inside out (west > east) where there is none. */
export type Extent = {
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
};

export function extentOf(polygons: readonly Polygon[]): Extent {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { outer } of polygons) {
    for (let i = 0; i < outer.length; i += 2) {
      west = Math.min(west, outer[i]);
      east = Math.max(east, outer[i]);
      south = Math.min(south, outer[i + 1]);
      north = Math.max(north, outer[i + 1]);
    }
  }
  return { west, south, east, north };
}
