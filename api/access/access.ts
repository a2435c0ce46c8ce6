import type { Context } from 'hono';
import type { AppEnv, Deps } from '#api/app.ts';
import { type House, LOCAL_TENANT } from '#api/house/house.ts';
import { HttpProblem } from '#api/problems.ts';
import { isValid, SCOPES, type Scope } from '#api/store/tenants.ts';

/** Who asks, and what they may do. */
export type Access = {
  readonly tenant: string;
  /** For the audit log and for limits: id of a key or of a share, never a secret. */
  readonly actor: string;
  readonly scopes: readonly Scope[];
  /** Only what belongs to this site may be seen. */
  readonly siteId?: string;
};

const EVERYTHING: Access = { tenant: LOCAL_TENANT, actor: 'local', scopes: SCOPES };

/**
 * The access of a request: everything where nobody is asked for a key, else that of its key (`Authorization: Bearer ...` or
 * `X-API-Key`) or of its share (`share=...`). All that does not open a door gets the same answer.
 */
export async function accessOf(c: Context<AppEnv>, deps: Deps, house: House): Promise<Access> {
  if (deps.settings.auth === 'off') return EVERYTHING;
  const { tenants } = house.store;
  const secret = c.req.header('x-api-key') ?? /^Bearer (\S+)$/i.exec(c.req.header('authorization') ?? '')?.[1];
  if (secret !== undefined) {
    const key = await tenants.keyBySecret(secret);
    if (key !== undefined && isValid(key, house.now())) {
      return { tenant: key.tenant, actor: `key ${key.id}`, scopes: key.scopes };
    }
    throw unauthorized('the key is not known, or no longer valid');
  }
  const token = c.req.query('share');
  if (token !== undefined) {
    const share = await tenants.shareBySecret(token);
    if (share !== undefined && isValid(share, house.now())) {
      return { tenant: share.tenant, actor: `share ${share.id}`, scopes: ['read'], siteId: share.siteId };
    }
    throw unauthorized('the share is not known, or no longer valid');
  }
  throw unauthorized('send a key: Authorization: Bearer <key>');
}

export function mayDo(access: Access, scope: Scope): boolean {
  return access.scopes.includes(scope);
}

export function requireScope(access: Access, scope: Scope): void {
  if (mayDo(access, scope)) return;
  throw new HttpProblem({ code: 'forbidden', detail: `this needs a key with the scope "${scope}"` });
}

function unauthorized(detail: string): HttpProblem {
  return new HttpProblem({
    code: 'unauthorized',
    detail,
    headers: { 'www-authenticate': 'Bearer realm="loopwright"' },
  });
}
