import { parseCrs } from '#api/contract/parse-crs.ts';
import { parseSite, type RefusedSite } from '#api/contract/parse-site.ts';
import { planSite, type Trace } from '#geo-core/index.ts';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { ProblemList, SiteError } from '#geo-core/model/problem.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { type PlanJob, type RefusedAnswer, refusal } from './plan-job.ts';
import { readGrid } from './read-grid.ts';
import { readJson } from './read-json.ts';
import { atGround, siteOfGround } from './site-of-ground.ts';

export type MadePlan = {
  readonly outcome: 'made';
  readonly plan: Plan;
  readonly units: 'metric' | 'us';
  /** As it was read, its positions in longitude and latitude. */
  readonly site: SiteInput;
};

/** From the bytes of a site to its plan, or to why there is none. Throws only for defects of ours. */
export async function makePlan(job: PlanJob, trace?: Trace): Promise<MadePlan | RefusedAnswer> {
  const read = readJson(job.site, job.limits.nestingMax);
  if ('detail' in read) return refusal('invalid-json', read.detail);
  const crs = job.siteCrs === undefined ? undefined : parseCrs(job.siteCrs);
  const ground = job.takesFeature === true ? siteOfGround(read.json) : undefined;
  const json = ground ?? read.json;
  const parsed = parseSite(json, { limits: job.limits, crs, rules: job.rules });
  const elevation = await readGrid(job, isObject(json) ? json.elevation : undefined);
  if ('problems' in parsed) return refusedSite(ground === undefined ? parsed : atGround(parsed), elevation);
  if (elevation !== undefined && 'outcome' in elevation) return elevation;
  const site: SiteInput = elevation === undefined ? parsed.site : { ...parsed.site, elevation };
  try {
    const plan = job.keptPlan === undefined ? planSite(site, parsed.rules, trace) : readPlan(job.keptPlan);
    return { outcome: 'made', plan, units: job.units ?? site.units ?? 'metric', site };
  } catch (error) {
    if (!(error instanceof SiteError)) throw error;
    const told = { problems: error.problems, more: error.more, reason: 'invalid-site' } as const;
    return refusedSite(ground === undefined ? told : atGround(told), undefined);
  }
}

/** A plan as it was kept by the service itself. */
function readPlan(bytes: Uint8Array): Plan {
  return JSON.parse(new TextDecoder().decode(bytes));
}

/** What is wrong with the site, and with the grid inside it. */
function refusedSite({ problems, more, reason }: RefusedSite, grid: ElevationGrid | RefusedAnswer | undefined) {
  const list = new ProblemList(more);
  const gridProblems = grid !== undefined && 'outcome' in grid ? grid.problems : [];
  for (const { pointer, message } of [...gridProblems, ...problems]) list.addAt(pointer, message);
  return refusal(reason, summed(list.problems.length + list.more), list.problems, list.more);
}

function summed(count: number): string {
  return count === 1
    ? 'one thing about the site must be corrected first'
    : `${count} things about the site must be corrected first`;
}
