import { createHash } from 'node:crypto';
import { bytesOf, type Database, numberOf, type Row, type SqlValue, type Statement, textOf } from './database.ts';
import { type Box, boxOf, type Geometry } from './geometry.ts';
import { geometryBytes, geometryFromBytes } from './geometry-bytes.ts';

export type Properties = Readonly<Record<string, unknown>>;

/** A feature as it is kept. */
export type KeptFeature = {
  readonly collection: string;
  readonly id: string;
  readonly siteId: string;
  readonly origin: 'site' | 'plan';
  /** Place in its site's list. */
  readonly ordinal: number;
  readonly geometry: Geometry;
  readonly box: Box;
  readonly properties: Properties;
  /** SHA-256 of geometry and properties: the same content has the same digest. */
  readonly digest: string;
  readonly updated: string;
};

export type NewFeature = Omit<KeptFeature, 'box' | 'digest' | 'updated'>;

export type FeatureQuery = {
  readonly tenant: string;
  readonly collection: string;
  readonly site?: string | undefined;
  /** Features whose box meets any of these; more may come, never fewer. */
  readonly boxes?: readonly Box[] | undefined;
  readonly updatedFrom?: string | undefined;
  readonly updatedTo?: string | undefined;
  /** Only ids after this one. */
  readonly after?: string | undefined;
};

/** What is known of all features of a collection: how many, where, and when they were written. */
export type Extent = { readonly count: number; readonly box: Box; readonly from: string; readonly to: string };

const COLUMNS =
  'collection, id, site_id, origin, ordinal, digest, geom, min_lon, min_lat, max_lon, max_lat, properties, updated_at';
const BATCH = 500;

export type FeatureStore = ReturnType<typeof featureStore>;

/** Features of every collection, in one table, read in order of their ids. */
export function featureStore(database: Database) {
  const where = (query: FeatureQuery) => whereOf(query, database.dialect);
  return {
    async one(tenant: string, collection: string, id: string): Promise<KeptFeature | undefined> {
      const sql = `select ${COLUMNS} from feature where tenant_id = ? and collection = ? and id = ?`;
      const [row] = await database.read(sql, [tenant, collection, id]);
      return row === undefined ? undefined : featureOf(row);
    },
    async page(query: FeatureQuery, limit: number, offset = 0): Promise<KeptFeature[]> {
      const { sql, values } = where(query);
      const all = `select ${COLUMNS} from feature where ${sql} order by id limit ? offset ?`;
      return (await database.read(all, [...values, limit, offset])).map(featureOf);
    },
    async count(query: FeatureQuery): Promise<number> {
      const { sql, values } = where({ ...query, after: undefined });
      const [row] = await database.read(`select cast(count(*) as integer) as n from feature where ${sql}`, values);
      return numberOf(row, 'n');
    },
    /** All of them, a batch at a time. */
    async *scan(query: FeatureQuery): AsyncGenerator<KeptFeature> {
      let { after } = query;
      for (;;) {
        const batch = await this.page({ ...query, after }, BATCH);
        yield* batch;
        const last = batch.at(-1);
        if (last === undefined || batch.length < BATCH) return;
        after = last.id;
      }
    },
    async ofSite(tenant: string, siteId: string, origin: 'site' | 'plan'): Promise<KeptFeature[]> {
      const sql = `select ${COLUMNS} from feature where tenant_id = ? and site_id = ? and origin = ? order by ordinal, id`;
      return (await database.read(sql, [tenant, siteId, origin])).map(featureOf);
    },
    async extent(tenant: string, collection: string, site?: string): Promise<Extent | undefined> {
      const { sql: mine, values } = where({ tenant, collection, site });
      const sql = `select cast(count(*) as integer) as n, min(min_lon) as west, min(min_lat) as south, max(max_lon) as east,
        max(max_lat) as north, min(updated_at) as first, max(updated_at) as last from feature where ${mine}`;
      const [row] = await database.read(sql, values);
      const count = numberOf(row, 'n');
      if (count === 0) return undefined;
      const box: Box = [numberOf(row, 'west'), numberOf(row, 'south'), numberOf(row, 'east'), numberOf(row, 'north')];
      return { count, box, from: textOf(row, 'first'), to: textOf(row, 'last') };
    },
  };
}

/** Writes a feature, or the new content of one that is there. */
export function putFeature(tenant: string, feature: NewFeature, at: string): Statement {
  const { collection, id, siteId, origin, ordinal, geometry, properties } = feature;
  const geom = geometryBytes(geometry);
  const values = [digestOf(geom, properties), geom, ...boxOf(geometry), JSON.stringify(properties), at];
  return {
    sql: `insert into feature (tenant_id, collection, id, site_id, origin, ordinal, digest, geom, min_lon, min_lat, max_lon, max_lat,
        properties, updated_at) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
      on conflict (tenant_id, collection, id) do update set ordinal = excluded.ordinal, digest = excluded.digest, geom = excluded.geom,
        min_lon = excluded.min_lon, min_lat = excluded.min_lat, max_lon = excluded.max_lon, max_lat = excluded.max_lat,
        properties = excluded.properties, updated_at = excluded.updated_at`,
    values: [tenant, collection, id, siteId, origin, ordinal, ...values],
  };
}

/** Of the same content the same digest. */
export function digestOfFeature({ geometry, properties }: Pick<NewFeature, 'geometry' | 'properties'>): string {
  return digestOf(geometryBytes(geometry), properties);
}

function digestOf(geom: Uint8Array, properties: Properties): string {
  return createHash('sha256').update(geom).update(JSON.stringify(properties)).digest('base64url').slice(0, 22);
}

function featureOf(row: Row): KeptFeature {
  return {
    collection: textOf(row, 'collection'),
    id: textOf(row, 'id'),
    siteId: textOf(row, 'site_id'),
    origin: textOf(row, 'origin') === 'site' ? 'site' : 'plan',
    ordinal: numberOf(row, 'ordinal'),
    geometry: geometryFromBytes(bytesOf(row, 'geom')),
    box: [numberOf(row, 'min_lon'), numberOf(row, 'min_lat'), numberOf(row, 'max_lon'), numberOf(row, 'max_lat')],
    properties: JSON.parse(textOf(row, 'properties')),
    digest: textOf(row, 'digest'),
    updated: textOf(row, 'updated_at'),
  };
}

function whereOf(query: FeatureQuery, dialect: Database['dialect']): { sql: string; values: SqlValue[] } {
  const parts = ['tenant_id = ?', 'collection = ?'];
  const values: SqlValue[] = [query.tenant, query.collection];
  const add = (part: string, value: string | undefined) => {
    if (value === undefined) return;
    parts.push(part);
    values.push(value);
  };
  add('site_id = ?', query.site);
  add('updated_at >= ?', query.updatedFrom);
  add('updated_at <= ?', query.updatedTo);
  add('id > ?', query.after);
  if (query.boxes !== undefined) {
    parts.push(`(${query.boxes.map(() => BOX_TESTS[dialect]).join(' or ')})`);
    for (const [west, south, east, north] of query.boxes) {
      values.push(...(dialect === 'sqlite' ? [east, west, north, south] : [west, south, east, north]));
    }
  }
  return { sql: parts.join(' and '), values };
}

/** Index lookups that give all that meets a box, and some that do not: SQLite keeps its boxes in single precision, rounded outwards. */
const BOX_TESTS = {
  sqlite: 'fid in (select fid from feature_box where min_lon <= ? and max_lon >= ? and min_lat <= ? and max_lat >= ?)',
  postgres: 'box(point(min_lon, min_lat), point(max_lon, max_lat)) && box(point(?, ?), point(?, ?))',
} as const;
