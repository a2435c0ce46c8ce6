import { createHash, randomBytes } from 'node:crypto';
import { type Database, numberOf, type Row, textOf, textOrNull } from './database.ts';

/** What a key may do. */
export const SCOPES = ['read', 'write', 'run', 'admin'] as const;
export type Scope = (typeof SCOPES)[number];

export type AccessKey = {
  readonly id: string;
  readonly tenant: string;
  readonly label: string;
  readonly scopes: readonly Scope[];
  readonly created: string;
  readonly expires: string | null;
  readonly revoked: string | null;
};
export type Share = {
  readonly id: string;
  readonly tenant: string;
  readonly siteId: string;
  readonly created: string;
  readonly expires: string | null;
  readonly revoked: string | null;
};
/** One write, for the audit log. */
export type Deed = {
  readonly at: string;
  readonly actor: string;
  readonly method: string;
  readonly path: string;
  readonly status: number;
  readonly requestId: string;
};

const KEY_COLUMNS = 'id, tenant_id, label, scopes, created_at, expires_at, revoked_at';
const SHARE_COLUMNS = 'id, tenant_id, site_id, created_at, expires_at, revoked_at';
/** 256 bits cannot be guessed, so that a plain hash protects them (a slow one is for passwords that people choose). */
const SECRET_BYTES = 32;

export type TenantStore = ReturnType<typeof tenantStore>;

/** Who there is, what opens which door, and what was written by whom. Secrets are kept as SHA-256 only. */
export function tenantStore(database: Database, now: () => string, newId: () => string) {
  return {
    async ensure(id: string, name: string): Promise<void> {
      const sql = 'insert into tenant (id, name, created_at) values (?, ?, ?) on conflict do nothing';
      await database.write([{ sql, values: [id, name, now()] }]);
    },
    /** Grows with every write of the tenant; 0 for one that is not there. */
    async revision(id: string): Promise<number> {
      const [row] = await database.read('select revision from tenant where id = ?', [id]);
      return row === undefined ? 0 : numberOf(row, 'revision');
    },
    /** The secret is told this once. */
    async addKey(
      tenant: string,
      label: string,
      scopes: readonly Scope[],
      expires: string | null,
    ): Promise<{ readonly key: AccessKey; readonly secret: string }> {
      const secret = newSecret('lwk');
      const key = { id: newId(), tenant, label, scopes, created: now(), expires, revoked: null };
      await database.write([
        {
          sql: 'insert into access_key (id, tenant_id, label, hash, scopes, created_at, expires_at) values (?, ?, ?, ?, ?, ?, ?)',
          values: [key.id, tenant, label, hashOf(secret), scopes.join(' '), key.created, expires],
        },
      ]);
      return { key, secret };
    },
    async keyBySecret(secret: string): Promise<AccessKey | undefined> {
      const [row] = await database.read(`select ${KEY_COLUMNS} from access_key where hash = ?`, [hashOf(secret)]);
      return row === undefined ? undefined : keyOf(row);
    },
    async keys(tenant: string): Promise<AccessKey[]> {
      const sql = `select ${KEY_COLUMNS} from access_key where tenant_id = ? order by created_at, id`;
      return (await database.read(sql, [tenant])).map(keyOf);
    },
    async revokeKey(tenant: string, id: string): Promise<boolean> {
      const sql =
        'update access_key set revoked_at = ? where tenant_id = ? and id = ? and revoked_at is null returning id';
      return (await database.write([{ sql, values: [now(), tenant, id], mustTouch: true }])) !== undefined;
    },
    async addShare(
      tenant: string,
      siteId: string,
      expires: string | null,
    ): Promise<{ readonly share: Share; readonly secret: string }> {
      const secret = newSecret('lws');
      const share = { id: newId(), tenant, siteId, created: now(), expires, revoked: null };
      await database.write([
        {
          sql: 'insert into share (id, tenant_id, site_id, hash, created_at, expires_at) values (?, ?, ?, ?, ?, ?)',
          values: [share.id, tenant, siteId, hashOf(secret), share.created, expires],
        },
      ]);
      return { share, secret };
    },
    async shareBySecret(secret: string): Promise<Share | undefined> {
      const [row] = await database.read(`select ${SHARE_COLUMNS} from share where hash = ?`, [hashOf(secret)]);
      return row === undefined ? undefined : shareOf(row);
    },
    async shares(tenant: string, siteId: string): Promise<Share[]> {
      const sql = `select ${SHARE_COLUMNS} from share where tenant_id = ? and site_id = ? order by created_at, id`;
      return (await database.read(sql, [tenant, siteId])).map(shareOf);
    },
    async revokeShare(tenant: string, id: string): Promise<boolean> {
      const sql = 'update share set revoked_at = ? where tenant_id = ? and id = ? and revoked_at is null returning id';
      return (await database.write([{ sql, values: [now(), tenant, id], mustTouch: true }])) !== undefined;
    },
    async note(tenant: string, deed: Deed): Promise<void> {
      const sql =
        'insert into deed (tenant_id, at, actor, method, path, status, request_id) values (?, ?, ?, ?, ?, ?, ?)';
      const { at, actor, method, path, status, requestId } = deed;
      await database.write([{ sql, values: [tenant, at, actor, method, path, status, requestId] }]);
    },
    /** The latest first. */
    async deeds(tenant: string, limit: number): Promise<Deed[]> {
      const sql =
        'select at, actor, method, path, status, request_id from deed where tenant_id = ? order by fid desc limit ?';
      return (await database.read(sql, [tenant, limit])).map((row) => ({
        at: textOf(row, 'at'),
        actor: textOf(row, 'actor'),
        method: textOf(row, 'method'),
        path: textOf(row, 'path'),
        status: numberOf(row, 'status'),
        requestId: textOf(row, 'request_id'),
      }));
    },
  };
}

/** Neither revoked nor past its time. */
export function isValid({ expires, revoked }: Pick<AccessKey, 'expires' | 'revoked'>, now: string): boolean {
  return revoked === null && (expires === null || now < expires);
}

function newSecret(prefix: string): string {
  return `${prefix}_${randomBytes(SECRET_BYTES).toString('base64url')}`;
}

function hashOf(secret: string): string {
  return createHash('sha256').update(secret).digest('base64url');
}

function keyOf(row: Row): AccessKey {
  const said = textOf(row, 'scopes').split(' ');
  return {
    id: textOf(row, 'id'),
    tenant: textOf(row, 'tenant_id'),
    label: textOf(row, 'label'),
    scopes: SCOPES.filter((scope) => said.includes(scope)),
    created: textOf(row, 'created_at'),
    expires: textOrNull(row, 'expires_at'),
    revoked: textOrNull(row, 'revoked_at'),
  };
}

function shareOf(row: Row): Share {
  return {
    id: textOf(row, 'id'),
    tenant: textOf(row, 'tenant_id'),
    siteId: textOf(row, 'site_id'),
    created: textOf(row, 'created_at'),
    expires: textOrNull(row, 'expires_at'),
    revoked: textOrNull(row, 'revoked_at'),
  };
}
