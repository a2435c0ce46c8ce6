import type { Plan } from '#geo-core/model/plan.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import type { Row } from './paper.ts';

/** The mowing week: one row for every zone and its hours, its days together. */
export function weekRows({ schedule }: Plan, { say, days }: Wording): Row[] {
  const rows = new Map<string, { readonly zone: string; readonly time: string; readonly days: number[] }>();
  for (const { zone, day, from, to } of schedule) {
    const time = `${from}–${to}`;
    const key = `${zone} ${time}`;
    const row = rows.get(key) ?? { zone, time, days: [] };
    row.days.push(day);
    rows.set(key, row);
  }
  return [...rows.values()].map((row) => ({
    role: 'plain',
    cells: [say('mark.zone', { n: row.zone.replace(/^zone-/, '') }), days(row.days), row.time],
  }));
}
