import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';

export type CutGround = {
  readonly zones: readonly Polygon[];
  /** How far outside their zone the blades still cut, metres; negative where they do not reach the wire. */
  readonly reachM: number;
  readonly gridM: number;
};

/** What the blades go over: zones grown by their reach. Rings of the kernel, metres. */
export function cutGround({ zones, reachM, gridM }: CutGround): Ring[] {
  const rings = ringsOf(zones);
  return reachM === 0 || rings.length === 0 ? rings : kernel().offset(rings, reachM, gridM);
}
