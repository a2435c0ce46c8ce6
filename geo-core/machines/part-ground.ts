import type { Polygon } from '#geo-core/model/position.ts';
import { bestCut, type Cut, type CutWanted } from './best-cut.ts';

export type PartedGround = { readonly parts: readonly Polygon[]; readonly cuts: readonly Cut[] };

/**
 * Ground in one piece -> as many pieces as there are `shares`, each in one piece and with its share of the weight (shares add up to 1, in
 * no order on the ground): halved by the shortest cut, then each half. Undefined where a cut is not to be found.
 */
export function partGround(
  polygon: Polygon,
  shares: readonly number[],
  wanted: Omit<CutWanted, 'polygon' | 'share'>,
): PartedGround | undefined {
  if (shares.length <= 1) return { parts: [polygon], cuts: [] };
  const middle = Math.floor(shares.length / 2);
  const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0);
  const [one, other] = [shares.slice(0, middle), shares.slice(middle)];
  const cut = bestCut({ ...wanted, polygon, share: sum(one) / sum(shares) });
  if (cut === undefined) return undefined;
  const [first, second] = cut.sides;
  const [left, right] = [partGround(first, one, wanted), partGround(second, other, wanted)];
  if (left === undefined || right === undefined) return undefined;
  return { parts: [...left.parts, ...right.parts], cuts: [cut, ...left.cuts, ...right.cuts] };
}
