import { gunzipSync, gzipSync } from 'node:zlib';
import type { Plan } from '#geo-core/model/plan.ts';
import { bytesOf, type Database, numberOf, type Statement, textOf } from './database.ts';
import { type KeptFeature, type NewFeature, putFeature } from './features.ts';
import type { Geometry } from './geometry.ts';
import { type PlanState, type SiteRecord, touchTenant } from './sites.ts';

export type PlanVersion = { readonly version: number; readonly inputHash: string; readonly created: string };

/** How planning a site ended. */
export type PlanOutcome =
  | { readonly state: 'planned'; readonly version: number; readonly inputHash: string; readonly plan: Plan }
  | { readonly state: 'refused'; readonly problem: string };

export type PlanStore = ReturnType<typeof planStore>;

/** Every version of every plan, whole, with the hash of what it was planned from. */
export function planStore(database: Database, now: () => string) {
  return {
    async versions(tenant: string, siteId: string): Promise<PlanVersion[]> {
      const sql =
        'select version, input_hash, created_at from plan where tenant_id = ? and site_id = ? order by version';
      return (await database.read(sql, [tenant, siteId])).map((row) => ({
        version: numberOf(row, 'version'),
        inputHash: textOf(row, 'input_hash'),
        created: textOf(row, 'created_at'),
      }));
    },
    async body(tenant: string, siteId: string, version: number): Promise<Plan | undefined> {
      const sql = 'select body from plan where tenant_id = ? and site_id = ? and version = ?';
      const [row] = await database.read(sql, [tenant, siteId, version]);
      return row === undefined ? undefined : JSON.parse(gunzipSync(bytesOf(row, 'body')).toString('utf8'));
    },
    /**
     * Makes an outcome the present state of a site, and its features those of the site; false where the site was written in between.
     * A version that is kept already is not written again.
     */
    async save(
      tenant: string,
      site: Pick<SiteRecord, 'id' | 'version'>,
      outcome: PlanOutcome,
      features: readonly NewFeature[],
    ): Promise<boolean> {
      const at = now();
      const written = await database.write([
        stateStatement(tenant, site, outcome),
        ...(outcome.state === 'planned' ? [bodyStatement(tenant, site.id, outcome, at)] : []),
        {
          sql: "delete from feature where tenant_id = ? and site_id = ? and origin = 'plan'",
          values: [tenant, site.id],
        },
        ...features.map((feature) => putFeature(tenant, feature, at)),
        touchTenant(tenant),
      ]);
      return written !== undefined;
    },
  };
}

/** Says at the plan of a site that a newer one is to come; what is there of the older one stays. */
export function queuedPlan(
  tenant: string,
  site: { readonly id: string; readonly name: string | null; readonly ground: Geometry },
  present: KeptFeature | undefined,
  at: string,
): Statement {
  const state: PlanState = 'queued';
  const feature: NewFeature = {
    collection: 'plans',
    id: site.id,
    siteId: site.id,
    origin: 'plan',
    ordinal: 0,
    geometry: present?.geometry ?? site.ground,
    properties: { ...present?.properties, name: site.name, state },
  };
  return putFeature(tenant, feature, at);
}

function stateStatement(
  tenant: string,
  { id, version }: Pick<SiteRecord, 'id' | 'version'>,
  outcome: PlanOutcome,
): Statement {
  const planned = outcome.state === 'planned';
  return {
    sql: 'update site set plan_state = ?, plan_version = ?, problem = ? where tenant_id = ? and id = ? and version = ? returning id',
    values: [outcome.state, planned ? outcome.version : null, planned ? null : outcome.problem, tenant, id, version],
    mustTouch: true,
  };
}

function bodyStatement(
  tenant: string,
  siteId: string,
  { version, inputHash, plan }: PlanOutcome & { readonly state: 'planned' },
  at: string,
): Statement {
  return {
    sql: `insert into plan (tenant_id, site_id, version, input_hash, body, created_at) values (?, ?, ?, ?, ?, ?)
      on conflict do nothing`,
    values: [tenant, siteId, version, inputHash, new Uint8Array(gzipSync(JSON.stringify(plan))), at],
  };
}
