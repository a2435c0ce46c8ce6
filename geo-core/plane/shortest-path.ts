import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { chainsOf, type Piece } from './chain.ts';
import { visibility } from './visibility.ts';
import { type Reached, wavefront } from './wavefront.ts';

/**
 * The exact shortest path from any of the source pieces to any of the target pieces, on polygons with holes, not touching the
 * walls on its way. A point is a piece with equal ends. Undefined where there is no way.
 */
export function shortestPath(
  ground: readonly Polygon[],
  sources: readonly Piece[],
  targets: readonly Piece[],
  walls: readonly Ring[] = [],
): Reached | undefined {
  const front = wavefront(visibility(ground, walls), chainsOf(targets));
  for (const chain of chainsOf(sources)) front.spread(chain);
  return front.reach();
}
