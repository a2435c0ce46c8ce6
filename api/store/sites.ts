import { type Database, numberOf, numberOrNull, type Row, type Statement, textOf, textOrNull } from './database.ts';
import { digestOfFeature, type KeptFeature, type NewFeature, type Properties, putFeature } from './features.ts';
import { footprintOf } from './footprint.ts';

export type PlanState = 'queued' | 'planned' | 'refused';

/** A site without its features. */
export type SiteRecord = {
  readonly id: string;
  readonly name: string | null;
  /** Members of the document beside id, name, type and features, as given. */
  readonly members: Properties;
  /** Grows by one with every write to the site or to one of its features. */
  readonly version: number;
  /** Number for the next feature that is added. */
  readonly nextOrdinal: number;
  readonly created: string;
  readonly updated: string;
  readonly planState: PlanState;
  readonly planVersion: number | null;
  /** Why there is no plan of the present site. */
  readonly problem: string | null;
};

/** What is to be kept from now on. */
export type SiteContent = Pick<SiteRecord, 'id' | 'name' | 'members' | 'nextOrdinal'> & {
  readonly features: readonly NewFeature[];
};

/** What was there before, or nothing for a new site. */
export type Before = { readonly record: SiteRecord; readonly features: readonly KeptFeature[] } | undefined;

const COLUMNS = 'id, name, members, version, next_ordinal, created_at, updated_at, plan_state, plan_version, problem';

export type SiteStore = ReturnType<typeof siteStore>;

/** Sites and their features. Every write asks for the version it was made from, so that none is lost. */
export function siteStore(database: Database, now: () => string) {
  return {
    async one(tenant: string, id: string): Promise<SiteRecord | undefined> {
      const [row] = await database.read(`select ${COLUMNS} from site where tenant_id = ? and id = ?`, [tenant, id]);
      return row === undefined ? undefined : recordOf(row);
    },
    async count(tenant: string): Promise<number> {
      const sql = 'select cast(count(*) as integer) as n from site where tenant_id = ?';
      return numberOf((await database.read(sql, [tenant]))[0], 'n');
    },
    /** Writes what differs; false where somebody else wrote in between (or took the id), and then nothing is written. */
    async save(tenant: string, content: SiteContent, before: Before, also: readonly Statement[]): Promise<boolean> {
      const at = now();
      const version = (before?.record.version ?? 0) + 1;
      const created = before?.record.created ?? at;
      const written = await database.write([
        siteStatement(tenant, content, before, at),
        ...changedFeatures(tenant, content.features, before?.features ?? [], at),
        putFeature(tenant, siteFeature(content, { version, created, updated: at }), at),
        ...also,
        touchTenant(tenant),
      ]);
      return written !== undefined;
    },
    /** False where the site is not there, or was written in between. */
    async remove(tenant: string, { id, version }: Pick<SiteRecord, 'id' | 'version'>): Promise<boolean> {
      const values = [tenant, id];
      const written = await database.write([
        {
          sql: 'delete from site where tenant_id = ? and id = ? and version = ? returning id',
          values: [...values, version],
          mustTouch: true,
        },
        { sql: 'delete from feature where tenant_id = ? and site_id = ?', values },
        { sql: 'delete from plan where tenant_id = ? and site_id = ?', values },
        { sql: 'delete from share where tenant_id = ? and site_id = ?', values },
        { sql: "delete from job where tenant_id = ? and subject = ? and process_id = 'replan-site'", values },
        touchTenant(tenant),
      ]);
      return written !== undefined;
    },
  };
}

/** Everything that is remembered of a tenant's features is old from now on. */
export function touchTenant(tenant: string): Statement {
  return { sql: 'update tenant set revision = revision + 1 where id = ?', values: [tenant] };
}

function siteStatement(tenant: string, content: SiteContent, before: Before, at: string): Statement {
  const { id, name, members, nextOrdinal } = content;
  const said = [name, JSON.stringify(members), nextOrdinal, at];
  if (before === undefined) {
    return {
      sql: `insert into site (name, members, next_ordinal, updated_at, tenant_id, id, version, created_at, plan_state)
        values (?, ?, ?, ?, ?, ?, 1, ?, 'queued') on conflict do nothing returning id`,
      values: [...said, tenant, id, at],
      mustTouch: true,
    };
  }
  return {
    sql: `update site set name = ?, members = ?, next_ordinal = ?, updated_at = ?, plan_state = 'queued', problem = null,
      version = version + 1 where tenant_id = ? and id = ? and version = ? returning id`,
    values: [...said, tenant, id, before.record.version],
    mustTouch: true,
  };
}

function changedFeatures(
  tenant: string,
  wanted: readonly NewFeature[],
  present: readonly KeptFeature[],
  at: string,
): Statement[] {
  const known = new Map(present.map((feature) => [keyOf(feature), feature]));
  const kept = new Set(wanted.map(keyOf));
  const gone = present.filter((feature) => !kept.has(keyOf(feature)));
  const changed = wanted.filter((feature) => {
    const old = known.get(keyOf(feature));
    return old === undefined || old.ordinal !== feature.ordinal || old.digest !== digestOfFeature(feature);
  });
  return [
    ...gone.map(({ collection, id }) => ({
      sql: 'delete from feature where tenant_id = ? and collection = ? and id = ?',
      values: [tenant, collection, id],
    })),
    ...changed.map((feature) => putFeature(tenant, feature, at)),
  ];
}

function keyOf({ collection, id }: Pick<NewFeature, 'collection' | 'id'>): string {
  return `${collection}/${id}`;
}

/** The site as a feature of its own. */
function siteFeature(
  { id, name, members, features }: SiteContent,
  figures: { readonly version: number; readonly created: string; readonly updated: string },
): NewFeature {
  const { units = null, locale = null, rules = null } = members;
  return {
    collection: 'sites',
    id,
    siteId: id,
    origin: 'site',
    ordinal: 0,
    geometry: footprintOf(features),
    properties: {
      name,
      units,
      locale,
      rules: rules === null || typeof rules === 'string' ? rules : JSON.stringify(rules),
      featureCount: features.length,
      ...figures,
    },
  };
}

function recordOf(row: Row): SiteRecord {
  const state = textOf(row, 'plan_state');
  return {
    id: textOf(row, 'id'),
    name: textOrNull(row, 'name'),
    members: JSON.parse(textOf(row, 'members')),
    version: numberOf(row, 'version'),
    nextOrdinal: numberOf(row, 'next_ordinal'),
    created: textOf(row, 'created_at'),
    updated: textOf(row, 'updated_at'),
    planState: state === 'planned' || state === 'refused' ? state : 'queued',
    planVersion: numberOrNull(row, 'plan_version'),
    problem: textOrNull(row, 'problem'),
  };
}
