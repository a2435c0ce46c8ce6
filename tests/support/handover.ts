import { readFileSync } from 'node:fs';
import { parseSite } from '#api/contract/parse-site.ts';
import { type Handover, planSite } from '#geo-core/index.ts';

/** A demo garden, planned, with other members where a test asks for them: what papers are made from. The kernel must be loaded. */
export function handover(name: string, members: Readonly<Record<string, unknown>> = {}): Handover {
  const file = new URL(`../../fixtures/sites/estate/${name}.geojson`, import.meta.url);
  const parsed = parseSite({ ...JSON.parse(readFileSync(file, 'utf8')), ...members });
  if ('problems' in parsed) throw new Error(parsed.problems.map(({ message }) => message).join('; '));
  const { site, rules } = parsed;
  const plan = planSite(site, rules);
  return { plan, site, units: site.units ?? 'metric', details: site.papers ?? {}, today: '2026-11-27', options: [] };
}
