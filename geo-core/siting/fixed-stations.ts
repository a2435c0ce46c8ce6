import type { Loop } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { nearly } from '#geo-core/plane/nearly.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';

export type FixedStation = { readonly at: PlanePoint; readonly pointer: string };

/** The stations drawn by the user, the one nearest to the boundary wire first: it is used, whatever their order. */
export function fixedStations({ features }: PlaneSite, boundaries: readonly Loop[]): FixedStation[] {
  const drawn = features.flatMap(({ kind, shape, pointer }) =>
    kind === 'station' && shape.type === 'point' ? shape.points.map((at) => ({ at, pointer })) : [],
  );
  if (drawn.length < 2) return drawn;
  const awayM = ({ at: { x, y } }: FixedStation): number =>
    boundaries.reduce((leastM, { ring }) => {
      for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2)
        leastM = Math.min(leastM, pointSegmentM(x, y, ring[j], ring[j + 1], ring[i], ring[i + 1]));
      return leastM;
    }, Number.POSITIVE_INFINITY);
  return drawn
    .map((fixed) => ({ fixed, awayM: awayM(fixed) }))
    .toSorted((a, b) => nearly(a.awayM, b.awayM) || nearly(a.fixed.at.y, b.fixed.at.y) || a.fixed.at.x - b.fixed.at.x)
    .map(({ fixed }) => fixed);
}
