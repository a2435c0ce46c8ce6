import type { Finding } from '#geo-core/model/finding.ts';
import type { Loop, Station } from '#geo-core/model/plane-plan.ts';

/** A loop that cannot be joined, and why; its station where it has current of its own. */
export type Apart = { readonly loop: Loop; readonly station?: Station; readonly cause: string };

/** Up to so many loops with one cause are told one by one. */
const FEW = 8;

/** One finding a loop, or one for all loops of a kind that have the same cause where these are many. */
export function cannotJoin(apart: readonly Apart[]): Finding[] {
  const alike = new Map<string, Apart[]>();
  for (const each of apart) {
    const key = `${each.station === undefined} ${each.cause}`;
    alike.set(key, [...(alike.get(key) ?? []), each]);
  }
  return [...alike.values()].flatMap((group) => (group.length > FEW ? [tellAll(group)] : group.map(tellOne)));
}

function tellOne({ loop: { id, lengthM, ring }, station, cause }: Apart): Finding {
  const own = station === undefined ? '' : ` Its own signal unit is connected at ${station.id}.`;
  return {
    ...common(station),
    message: `${id} (${lengthM.toFixed(1)} m of wire) cannot be joined to the rest: ${cause}.${own}`,
    value: lengthM,
    unit: 'm',
    at: station?.at ?? { x: ring[0], y: ring[1] },
    subject: id,
  };
}

function tellAll(group: readonly Apart[]): Finding {
  const longest = group.reduce((most, each) => (each.loop.lengthM > most.loop.lengthM ? each : most));
  const { loop, station, cause } = longest;
  const sumM = group.reduce((sum, each) => sum + each.loop.lengthM, 0);
  const own = station === undefined ? '' : ' Each has a signal unit and a station of its own.';
  return {
    ...common(station),
    message: `${group.length} loops (${sumM.toFixed(1)} m of wire, the longest ${loop.id}) cannot be joined to the rest: ${cause}.${own}`,
    value: sumM,
    unit: 'm',
    at: station?.at ?? { x: loop.ring[0], y: loop.ring[1] },
    subject: loop.id,
  };
}

function common(station: Station | undefined): Pick<Finding, 'code' | 'severity' | 'advice'> {
  return station === undefined
    ? {
        code: 'join-route.cannot-join',
        severity: 'stop',
        advice: 'Open a way for a lead, or guard what it keeps the machine away from by other means, and plan again.',
      }
    : {
        code: 'join-route.cannot-join',
        severity: 'caution',
        advice: 'Plan an outlet for its signal unit, or open a way for a lead and plan again.',
      };
}
