import type { Exchange } from '#api/ogc/exchange.ts';
import { HttpProblem } from '#api/problems.ts';
import type { SiteRecord } from '#api/store/sites.ts';
import type { Plan } from '#geo-core/model/plan.ts';

/** A site that the caller may see; what they may not is answered like what never was. */
export async function visibleSite(
  { house, access }: Pick<Exchange, 'house' | 'access'>,
  siteId: string,
): Promise<SiteRecord> {
  const isHidden = access.siteId !== undefined && access.siteId !== siteId;
  const record = isHidden ? undefined : await house.store.sites.one(access.tenant, siteId);
  if (record !== undefined) return record;
  throw new HttpProblem({ code: 'not-found', detail: `there is no site "${siteId.slice(0, 80)}"` });
}

/** The plan of a site, or the version that the query asks for. */
export async function keptPlan({ house, access, query }: Exchange, record: SiteRecord): Promise<Plan> {
  const wanted = query.get('version');
  if (wanted !== undefined && !/^[1-9]\d{0,8}$/.test(wanted)) {
    throw new HttpProblem({
      code: 'invalid-parameter',
      detail: `version="${wanted.slice(0, 40)}" is no whole number`,
    });
  }
  const version = wanted === undefined ? record.planVersion : Number(wanted);
  const plan = version === null ? undefined : await house.store.plans.body(access.tenant, record.id, version);
  if (plan !== undefined) return plan;
  const why = wanted === undefined ? (record.problem ?? 'it is still to be planned') : `there is no version ${wanted}`;
  throw new HttpProblem({ code: 'not-found', detail: `no plan of "${record.id}": ${why}` });
}
