import type { Position } from '#geo-core/model/plan.ts';
import type { RecordedRoute } from './find-fault.ts';

type Cut =
  | { readonly type: 'Point'; readonly coordinates: Position }
  | { readonly type: 'LineString'; readonly coordinates: readonly Position[] }
  | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly Position[])[] };

/**
 * Hands out stretches of a route between two chainages, or the point where they are the same. Straight in degrees between two
 * vertices, which is off by less than a millimetre over the metres between them; parts of a route that the antimeridian cut stay parts.
 */
export function cutByChainage({ geometry, chainageM }: Pick<RecordedRoute, 'geometry' | 'chainageM'>) {
  const parts = geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;
  return (fromM: number, toM: number): Cut => {
    const cuts: Position[][] = [];
    let first = 0;
    for (const part of parts) {
      const stretch = stretchOf(part, chainageM.slice(first, first + part.length), fromM, toM);
      if (stretch.length > 0) cuts.push(stretch);
      first += part.length;
    }
    const [only] = cuts;
    if (fromM === toM && only !== undefined) return { type: 'Point', coordinates: only[0] };
    return cuts.length === 1
      ? { type: 'LineString', coordinates: only }
      : { type: 'MultiLineString', coordinates: cuts };
  };
}

function stretchOf(part: readonly Position[], alongM: readonly number[], fromM: number, toM: number): Position[] {
  const last = part.length - 1;
  const [beginM, endM] = [Math.max(fromM, alongM[0]), Math.min(toM, alongM[last])];
  if (beginM > endM || (beginM === endM && fromM !== toM)) return [];
  const inner = part.filter((_, i) => alongM[i] > beginM && alongM[i] < endM);
  const ends = [placeAt(part, alongM, beginM), ...inner, placeAt(part, alongM, endM)];
  return fromM === toM ? ends.slice(0, 1) : ends;
}

function placeAt(part: readonly Position[], alongM: readonly number[], atM: number): Position {
  const after = alongM.findIndex((m) => m >= atM);
  if (after <= 0) return part[Math.max(0, after)];
  const share = (atM - alongM[after - 1]) / (alongM[after] - alongM[after - 1]);
  const [[ax, ay], [bx, by]] = [part[after - 1], part[after]];
  return [ax + share * (bx - ax), ay + share * (by - ay)];
}
