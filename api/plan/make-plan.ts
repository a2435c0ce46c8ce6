import { isObject } from '#api/contract/check-feature.ts';
import { type ParsedSite, parseSite } from '#api/contract/parse-site.ts';
import { planSite, type Trace } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { ProblemList, SiteError } from '#geo-core/model/problem.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { CRS_REMEDY, type NamedCrs, parseCrs } from './parse-crs.ts';
import { type PlanJob, type RefusedAnswer, refusal } from './plan-job.ts';
import { readGrid } from './read-grid.ts';
import { readJson } from './read-json.ts';
import { siteFromCrs } from './site-from-crs.ts';

export type MadePlan = { readonly outcome: 'made'; readonly plan: Plan; readonly units: 'metric' | 'us' };

/** From the bytes of a site to its plan, or to why there is none. Throws only for defects of ours. */
export async function makePlan(job: PlanJob, trace?: Trace): Promise<MadePlan | RefusedAnswer> {
  const read = readJson(job.site, job.limits.nestingMax);
  if ('detail' in read) return refusal('invalid-json', read.detail);
  const { json } = read;
  const asked = job.rules !== undefined && isObject(json) ? { ...json, rules: job.rules } : json;
  const parsed = parseSite(asked, job.limits);
  if ('problems' in parsed) {
    return refusal(parsed.reason, summed(parsed.problems.length + parsed.more), parsed.problems, parsed.more);
  }
  const list = new ProblemList();
  const located = locate(parsed, job.siteCrs, list);
  if (!list.isEmpty) return refusal('invalid-site', summed(list.problems.length + list.more), list.problems, list.more);
  const elevation = await readGrid(job, parsed.elevation);
  if (elevation !== undefined && 'outcome' in elevation) return elevation;
  const site: SiteInput = elevation === undefined ? located : { ...located, elevation };
  try {
    return { outcome: 'made', plan: planSite(site, parsed.rules, trace), units: job.units ?? site.units ?? 'metric' };
  } catch (error) {
    if (!(error instanceof SiteError)) throw error;
    return refusal('invalid-site', summed(error.problems.length + error.more), error.problems, error.more);
  }
}

function summed(count: number): string {
  return count === 1
    ? 'one thing about the site must be corrected first'
    : `${count} things about the site must be corrected first`;
}

/** The site in longitude and latitude, whatever it came in. */
function locate({ site, crs }: ParsedSite, named: string | undefined, list: ProblemList): SiteInput {
  const system = named === undefined ? memberCrs(crs, list) : parseCrs(named);
  if (system === undefined || (system.crs.epsg === 4326 && system.axisOrder === 'east-north')) return site;
  return siteFromCrs(site, system, list);
}

/** GeoJSON before RFC 7946 named a system in the member `crs`, coordinates always east first. Many tools still write it. */
function memberCrs(crs: unknown, list: ProblemList): NamedCrs | undefined {
  if (crs === undefined) return undefined;
  const name = isObject(crs) && isObject(crs.properties) ? crs.properties.name : undefined;
  const system = typeof name === 'string' ? parseCrs(name) : undefined;
  if (system !== undefined) return { ...system, axisOrder: 'east-north' };
  list.add(['crs'], `this names no system that is known here: ${CRS_REMEDY}`);
  return undefined;
}
