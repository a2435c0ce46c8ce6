import type { Plan } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { awayM, distanceM, windingOf } from './measure-again.ts';

type Position = readonly number[];
type Line = readonly Position[];

/** What the wire may differ from what is asked: nine decimals of a degree, arcs that stand outside the true curve by 1 mm at most. */
const WITHIN_M = 0.002;
/** Ground where the wire never lies, planting but for crossings of it. */
const FORBIDDEN = ['building', 'water', 'planting', 'keep-out'];

/**
 * Where the wire lies as it must not on the site it was planned for, from the two GeoJSON texts alone: off the lawn, on a house, in
 * water, nearer to a tree than its trunk and distance. `outlinesAreEdges` = every ring of lawn and parcel is an edge as it stands.
 */
export function trespassesOf(site: SiteInput, plan: Plan, rules: Rules, outlinesAreEdges: boolean): readonly string[] {
  const told: string[] = [];
  const areas: { readonly kind: unknown; readonly rings: readonly Line[] }[] = [];
  const discs: { readonly at: Position; readonly radiusM: number }[] = [];
  let hasCrossing = false;
  for (const { properties, geometry } of site.features) {
    const kind = properties?.kind;
    if (kind === 'crossing') hasCrossing = true;
    if (geometry?.type === 'Polygon') areas.push({ kind, rings: geometry.coordinates });
    if (kind === 'tree' && geometry?.type === 'Point')
      discs.push({ at: geometry.coordinates, radiusM: Number(properties?.radius) });
  }
  const grounds = areas.filter(({ kind }) => kind === 'lawn');
  const lawns = grounds.length > 0 ? grounds : areas.filter(({ kind }) => kind === 'parcel');
  const edges = lawns.flatMap(({ rings }) => rings);
  const taken = areas.filter(({ kind }) => FORBIDDEN.includes(String(kind)) && !(hasCrossing && kind === 'planting'));
  const { keepOut: _, ...edgeOffsets } = rules.offsetsM;
  const leastM = Math.min(...Object.values(edgeOffsets));
  for (const { properties, geometry } of plan.features) {
    const isLoop = properties.kind === 'boundary-loop' || properties.kind === 'keep-out-loop';
    if (properties.kind !== 'route' && !isLoop) continue;
    for (const at of positionsOf(geometry)) {
      const place = at.join(', ');
      const isOnLawn = lawns.some(({ rings }) => holds(rings, at)) || edges.some((ring) => awayM(ring, at) < WITHIN_M);
      if (!isOnLawn && !hasCrossing) told.push(`the wire leaves the lawn at ${place}`);
      if (isLoop && outlinesAreEdges && !hasCrossing && edges.some((ring) => awayM(ring, at) < leastM - WITHIN_M))
        told.push(`the wire is nearer to the edge than ${leastM} m at ${place}`);
      for (const { kind, rings } of taken)
        if (holds(rings, at) && rings.every((ring) => awayM(ring, at) > WITHIN_M))
          told.push(`wire on ${kind} at ${place}`);
      for (const { at: middle, radiusM } of discs)
        if (distanceM(middle, at) < radiusM + (isLoop ? rules.offsetsM.keepOut : 0) - WITHIN_M)
          told.push(`the wire is too near a tree at ${place}`);
    }
  }
  told.push(
    ...goneAround(
      plan,
      discs.map(({ at }) => at),
    ),
    ...loopsTooNear(plan, rules),
  );
  if (plan.summary.spoolCount * rules.spoolM < plan.summary.routeLengthM)
    told.push(`${plan.summary.spoolCount} spools of ${rules.spoolM} m for ${plan.summary.routeLengthM} m`);
  if (!hasCrossing && plan.summary.workingAreaM2 > plan.summary.lawnAreaM2)
    told.push(`${plan.summary.workingAreaM2} m² of working area on ${plan.summary.lawnAreaM2} m² of lawn`);
  return told;
}

/** Trees that the wire counts as ground to be mown, where every loop carries current. */
function goneAround({ features, findings }: Plan, trees: readonly Position[]): readonly string[] {
  if (findings.some(({ code }) => code === 'join-route.cannot-join')) return [];
  const routes = features.flatMap(({ properties, geometry }) =>
    properties.kind === 'route' ? [positionsOf(geometry)] : [],
  );
  return trees.flatMap((at) => {
    const turns = windingOf(routes, at);
    return turns === 0 ? [] : [`the wire goes ${turns} times around a tree at ${at.join(', ')}`];
  });
}

/** Loops of keep-outs nearer to each other than two wires may be. */
function loopsTooNear({ features }: Plan, { wireGapM }: Rules): readonly string[] {
  const loops = features.flatMap(({ properties, geometry }) =>
    properties.kind === 'keep-out-loop' ? [positionsOf(geometry)] : [],
  );
  return loops.flatMap((loop, i) =>
    loops.flatMap((other, j) => {
      const apartM = i === j ? Infinity : Math.min(...loop.map((at) => awayM(other, at)));
      return apartM < wireGapM - WITHIN_M ? [`two keep-out loops ${apartM} m apart`] : [];
    }),
  );
}

/** Even-odd in the outer ring and in no hole. */
function holds([outer, ...holes]: readonly Line[], at: Position): boolean {
  return isInside(outer, at) && !holes.some((hole) => isInside(hole, at));
}

function isInside(ring: Line, at: Position): boolean {
  return windingOf([ring], at) % 2 !== 0;
}
