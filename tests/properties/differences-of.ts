import type { Plan } from '#geo-core/model/plan.ts';
import { linesOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import { onEarth, type Placement, type Spot } from './drawing.ts';

/** A plan of a garden and where on earth that garden was set down. */
export type Placed = { readonly plan: Plan; readonly place: Placement };

/** What is laid, as lines and points on the ground; a route holds its loops. The cut at 180 degrees adds vertices, but moves none. */
const LAID = ['route', 'lead', 'station', 'supply-cable'];

/**
 * In what two plans of one garden differ, in drawn metres: wires, station and cable within `withinM`, the same zones, the same
 * severe findings; empty where they are the same.
 */
export function differencesOf(one: Placed, other: Placed, withinM: number): readonly string[] {
  const told: string[] = [];
  for (const kind of LAID) {
    const [ours, theirs] = [linesOnGround(one, kind), linesOnGround(other, kind)];
    if (ours.length !== theirs.length) told.push(`${ours.length} ${kind} against ${theirs.length}`);
    const apartM = Math.max(farthestM(ours, theirs), farthestM(theirs, ours));
    if (apartM > withinM) told.push(`${kind} lies ${apartM} m away`);
  }
  const counted = ({ plan }: Placed): string => [plan.summary.zoneCount, ...severeCodes(plan)].join(', ');
  if (counted(one) !== counted(other)) told.push(`${counted(one)} against ${counted(other)}`);
  return told;
}

function severeCodes({ findings }: Plan): readonly string[] {
  return findings.flatMap(({ code, severity }) => (severity === 'stop' ? [code] : [])).toSorted();
}

function linesOnGround({ plan, place }: Placed, kind: string): readonly (readonly Spot[])[] {
  const { spot } = onEarth(place);
  return plan.features
    .filter(({ properties }) => properties.kind === kind)
    .flatMap(({ geometry }) => {
      const lines = geometry.type === 'Point' ? [positionsOf(geometry)] : linesOf(geometry);
      return geometry.type === 'MultiLineString' ? [lines.flat().map(spot)] : lines.map((line) => line.map(spot));
    });
}

/** How far the farthest vertex of some lines is from others. */
function farthestM(lines: readonly (readonly Spot[])[], others: readonly (readonly Spot[])[]): number {
  let farthest = 0;
  for (const at of lines.flat()) farthest = Math.max(farthest, Math.min(...others.map((line) => awayM(line, at))));
  return farthest;
}

function awayM(line: readonly Spot[], [x, y]: Spot): number {
  let least = Math.hypot(line[0][0] - x, line[0][1] - y);
  for (let i = 1; i < line.length; i++) {
    const [ax, ay] = line[i - 1];
    const [dx, dy] = [line[i][0] - ax, line[i][1] - ay];
    const squared = dx * dx + dy * dy;
    const share = squared === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / squared));
    least = Math.min(least, Math.hypot(ax + share * dx - x, ay + share * dy - y));
  }
  return least;
}
