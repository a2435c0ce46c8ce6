import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringsOf } from '#geo-core/plane/polygons.ts';

export type CutGround = {
  readonly zones: readonly Polygon[];
  /** How far outside their zone the blades still cut, metres; negative where they do not reach the wire. */
  readonly reachM: number;
  /** Diameter of the cutting disc under the machine's middle, metres. */
  readonly discM: number;
  readonly gridM: number;
};

/**
 * What the disc goes over, exactly: where the machine's middle may be (zones shrunk so far that the disc's rim comes to `reachM` outside
 * them), swept by the disc. Into a square corner a disc leaves (1 - pi / 4) r^2, and nothing of it goes into a place narrower than
 * itself. Rings of the kernel, metres.
 */
export function cutGround({ zones, reachM, discM, gridM }: CutGround): Ring[] {
  const rings = ringsOf(zones);
  if (rings.length === 0) return rings;
  const { offset } = kernel();
  const inwardM = reachM - discM / 2;
  const middle = inwardM < 0 ? offset(rings, inwardM, gridM, 'mitre') : rings;
  const sweptM = inwardM < 0 ? discM / 2 : reachM;
  return sweptM === 0 ? middle : offset(middle, sweptM, gridM);
}
