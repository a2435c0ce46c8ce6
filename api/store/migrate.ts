import type { Database } from './database.ts';

/**
 * Steps that bring any older store to the present one, in order; a step that has landed is never changed. Words in braces differ by
 * dialect: `{name}` is text compared byte by byte, so that paging has one order everywhere.
 */
const STEPS: readonly { readonly id: string; readonly sql: readonly string[] }[] = [
  {
    id: '001-first-tables',
    sql: [
      'create table tenant (id {name} primary key, name text not null, revision integer not null default 0, created_at text not null)',
      `create table site (tenant_id {name} not null references tenant(id), id {name} not null, name text, members text not null,
        version integer not null, next_ordinal integer not null, created_at text not null, updated_at text not null,
        plan_state text not null, plan_version integer, problem text, primary key (tenant_id, id))`,
      `create table feature (fid {serial}, tenant_id {name} not null, collection {name} not null, id {name} not null,
        site_id {name} not null, origin text not null, ordinal integer not null, digest text not null, geom {bytes} not null,
        min_lon {real} not null, min_lat {real} not null, max_lon {real} not null, max_lat {real} not null,
        properties text not null, updated_at text not null, unique (tenant_id, collection, id))`,
      'create index feature_of_site on feature (tenant_id, site_id, origin)',
      `create table plan (tenant_id {name} not null, site_id {name} not null, version integer not null, input_hash text not null,
        body {bytes} not null, created_at text not null, primary key (tenant_id, site_id, version), unique (tenant_id, site_id, input_hash))`,
      `create table book (tenant_id {name} not null, kind {name} not null, id {name} not null, media_type text not null, body {bytes} not null,
        digest text not null, updated_at text not null, primary key (tenant_id, kind, id))`,
      `create table job (id {name} primary key, tenant_id {name} not null, process_id {name} not null, subject {name}, status {name} not null,
        priority integer not null, progress integer not null, message text, request text not null, result {bytes}, problem text,
        created_at text not null, started_at text, finished_at text, updated_at text not null, lease_until {real}, lease_owner text,
        attempts integer not null, not_before {real} not null, expires_at {real} not null)`,
      'create index job_to_do on job (status, priority, not_before)',
      'create index job_of_tenant on job (tenant_id, created_at)',
      `create table access_key (id {name} primary key, tenant_id {name} not null references tenant(id), label text not null, hash {name} not null unique,
        scopes text not null, created_at text not null, expires_at text, revoked_at text)`,
      `create table share (id {name} primary key, tenant_id {name} not null references tenant(id), site_id {name} not null, hash {name} not null unique,
        created_at text not null, expires_at text, revoked_at text)`,
      `create table deed (fid {serial}, tenant_id {name} not null, at text not null, actor text not null, method text not null,
        path text not null, status integer not null, request_id text not null)`,
    ],
  },
  {
    id: '002-how-long-jobs-ran',
    sql: [
      'alter table job add column keep_ms {real}',
      'alter table job add column started_ms {real}',
      'alter table job add column finished_ms {real}',
    ],
  },
  {
    id: '003-portfolios',
    sql: [
      'alter table job add column parent_id {name} references job(id) on delete cascade',
      'alter table job add column turn {real} not null default 0',
      'drop index job_to_do',
      'create index job_to_do on job (status, priority, turn, created_at, id)',
      'create index job_turn on job (status, turn)',
      'create index job_turn_of_tenant on job (tenant_id, turn)',
      'create index job_of_parent on job (parent_id)',
      `create table portfolio (job_id {name} primary key references job(id) on delete cascade, options text not null, total integer,
        done integer not null, refused integer not null)`,
      `create table portfolio_site (job_id {name} not null references job(id) on delete cascade, number integer not null, site_id {name},
        body {bytes}, fault text, attempts integer not null, primary key (job_id, number))`,
      `create table portfolio_row (job_id {name} not null references job(id) on delete cascade, number integer not null,
        option_number integer not null, site_id {name}, name text, input_hash {name} not null, lon {real}, lat {real}, figures text,
        code {name}, problem text, plan_body {bytes}, primary key (job_id, number, option_number))`,
    ],
  },
  {
    id: '004-versions-of-books',
    sql: [
      `create table book_version (tenant_id {name} not null, kind {name} not null, id {name} not null, version integer not null,
        media_type text not null, body {bytes} not null, digest text not null, created_at text not null,
        primary key (tenant_id, kind, id, version))`,
      `insert into book_version (tenant_id, kind, id, version, media_type, body, digest, created_at)
        select tenant_id, kind, id, 1, media_type, body, digest, updated_at from book`,
      'drop table book',
      `create table book (tenant_id {name} not null, kind {name} not null, id {name} not null, version integer not null,
        primary key (tenant_id, kind, id))`,
      'insert into book (tenant_id, kind, id, version) select tenant_id, kind, id, version from book_version',
    ],
  },
];

/** Every step that this version knows. */
export const MIGRATION_IDS: readonly string[] = STEPS.map(({ id }) => id);

const WORDS = {
  sqlite: { name: 'text', serial: 'integer primary key autoincrement', bytes: 'blob', real: 'double' },
  postgres: {
    name: 'text collate "C"',
    serial: 'integer generated always as identity primary key',
    bytes: 'bytea',
    real: 'double precision',
  },
} as const;

/** An index of boxes: a superset of what meets a box, exact tests follow. */
const BOX_INDEX = {
  sqlite: [
    'create virtual table feature_box using rtree(fid, min_lon, max_lon, min_lat, max_lat)',
    `create trigger feature_box_insert after insert on feature begin
      insert into feature_box values (new.fid, new.min_lon, new.max_lon, new.min_lat, new.max_lat); end`,
    `create trigger feature_box_update after update on feature begin
      update feature_box set min_lon = new.min_lon, max_lon = new.max_lon, min_lat = new.min_lat, max_lat = new.max_lat
      where fid = new.fid; end`,
    'create trigger feature_box_delete after delete on feature begin delete from feature_box where fid = old.fid; end',
  ],
  postgres: ['create index feature_box on feature using gist (box(point(min_lon, min_lat), point(max_lon, max_lat)))'],
} as const;

/** Brings the store to the present shape; returns the ids of the steps it took. */
export async function migrate(database: Database, at: string): Promise<string[]> {
  const { dialect } = database;
  await database.write([
    // Two processes that start together on one database: the second waits for the first.
    ...(dialect === 'postgres' ? [{ sql: 'select pg_advisory_xact_lock(7402)' }] : []),
    { sql: 'create table if not exists migration (id text primary key, at text not null)' },
  ]);
  const done = new Set((await database.read('select id from migration')).map(({ id }) => id));
  const taken: string[] = [];
  for (const { id, sql } of STEPS) {
    if (done.has(id)) continue;
    const words: Readonly<Record<string, string>> = WORDS[dialect];
    const all = id === '001-first-tables' ? [...sql, ...BOX_INDEX[dialect]] : sql;
    await database.write([
      { sql: 'insert into migration (id, at) values (?, ?)', values: [id, at] },
      ...all.map((text) => ({ sql: text.replace(/\{(\w+)\}/g, (_, word: string) => words[word]) })),
    ]);
    taken.push(id);
  }
  return taken;
}
