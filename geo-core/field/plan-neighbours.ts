import type { Plan, Position } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { disturbedNeighbours, type EstateChannels, type NeighbourGarden } from './disturbed-neighbours.ts';

/** Where one pair disturbs each other, on the map. */
type PlanPair = Omit<EstateChannels['pairs'][number], 'at'> & { readonly at: Position };
type PlanChannels = Pick<EstateChannels, 'channels'> & { readonly pairs: readonly PlanPair[] };

/**
 * `disturbedNeighbours` for the plans of an estate, in their order: each needs its features `route` and `working-area`; a plan without
 * them disturbs nobody. All are brought to one plane about the first position, which is good to 1e-6 over ten kilometres.
 */
export function planNeighbours(plans: readonly Pick<Plan, 'features'>[], rules: Rules): PlanChannels {
  const first = plans.find(({ features }) => features.length > 0)?.features[0];
  const [originLonDeg, originLatDeg] = first === undefined ? [0, 0] : positionsOf(first.geometry)[0];
  const { toPlane, toLonLat } = localPlaneProjection({ originLonDeg, originLatDeg });
  const flat = (positions: readonly Position[]): Float64Array =>
    Float64Array.from(
      positions.flatMap(([lonDeg, latDeg]) => {
        const { x, y } = toPlane(lonDeg, latDeg);
        return [x, y];
      }),
    );
  const gardens = plans.map(({ features }): NeighbourGarden => {
    const of = (kind: string) =>
      features.filter(({ properties }) => properties.kind === kind).map(({ geometry }) => geometry);
    return {
      routes: of('route').flatMap(linesOf).map(flat),
      workingArea: of('working-area')
        .flatMap(polygonsOf)
        .map(([outer, ...holes]) => ({ outer: flat(outer.slice(1)), holes: holes.map((hole) => flat(hole.slice(1))) })),
    };
  });
  const { pairs, channels } = disturbedNeighbours(gardens, rules);
  return {
    channels,
    pairs: pairs.map(({ at, ...pair }) => {
      const [lonDeg, latDeg] = toLonLat(at.x, at.y);
      return { ...pair, at: [lonDeg, latDeg] };
    }),
  };
}
