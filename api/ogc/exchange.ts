import type { Context } from 'hono';
import { type Access, accessOf, requireScope } from '#api/access/access.ts';
import type { AppEnv, Deps } from '#api/app.ts';
import type { House } from '#api/house/house.ts';
import { negotiate } from '#api/negotiate.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Scope } from '#api/store/tenants.ts';

/** One request to the service's OGC side, checked: who asks, of what, where its links point to. */
export type Exchange = {
  readonly c: Context<AppEnv>;
  readonly house: House;
  readonly access: Access;
  /** Public address of the OGC API, without a slash at its end. */
  readonly root: string;
  /** Address of this resource without its query. */
  readonly here: string;
  readonly query: ReadonlyMap<string, string>;
};

/** Where the OGC API begins. */
export const ROOT_PATH = '/ogc';

/** Parameters that every resource takes. */
const COMMON = ['f', 'share'];

/** Checks the query against what the resource takes, opens the store, and sees that the caller has `scope`. */
export async function openExchange(
  c: Context<AppEnv>,
  deps: Deps,
  scope: Scope,
  parameters: readonly string[] = [],
): Promise<Exchange> {
  const query = readQuery(c.req.url, [...COMMON, ...parameters]);
  const house = await openedHouse(deps);
  const access = await accessOf(c, deps, house);
  c.set('access', access);
  if (deps.settings.auth === 'keys') {
    c.set('rateHeaders', c.get('rates').take(access.actor, deps.nowMs()));
  }
  requireScope(access, scope);
  const base = publicBase(c.req.url, deps);
  const path = c.req.path.replace(/\/+$/, '');
  return { c, house, access, root: `${base}${ROOT_PATH}`, here: `${base}${path}`, query };
}

async function openedHouse(deps: Deps): Promise<House> {
  try {
    return await deps.house();
  } catch (error) {
    deps.log({
      event: 'store-unavailable',
      trace: error instanceof Error ? (error.stack ?? error.message) : String(error),
    });
    throw new HttpProblem({
      code: 'store-unavailable',
      detail: 'what is kept cannot be reached just now; planning without keeping (POST /plan) works',
      headers: { 'retry-after': '30' },
    });
  }
}

/** The address that clients use: as configured, else as they called. */
function publicBase(url: string, { settings }: Pick<Deps, 'settings'>): string {
  return settings.publicUrl ?? new URL(url).origin;
}

function readQuery(url: string, known: readonly string[]): ReadonlyMap<string, string> {
  const query = new Map<string, string>();
  const start = url.indexOf('?');
  for (const part of start < 0 ? [] : url.slice(start + 1).split('&')) {
    if (part === '') continue;
    const [name, value] = splitOnce(part).map(decoded);
    if (!known.includes(name)) {
      throw new HttpProblem({
        code: 'invalid-parameter',
        detail: `there is no parameter "${name.slice(0, 40)}" here; known are ${known.join(', ')}`,
      });
    }
    if (query.has(name)) throw new HttpProblem({ code: 'invalid-parameter', detail: `"${name}" is given twice` });
    query.set(name, value);
  }
  return query;
}

function splitOnce(part: string): [string, string] {
  const at = part.indexOf('=');
  return at < 0 ? [part, ''] : [part.slice(0, at), part.slice(at + 1)];
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text.replaceAll('+', ' '));
  } catch {
    throw new HttpProblem({
      code: 'invalid-parameter',
      detail: `"${text.slice(0, 40)}" is not whole percent-encoding`,
    });
  }
}

export type Offer = { readonly id: string; readonly mediaType: string; readonly also?: readonly string[] };

export const HTML_OFFER: Offer = { id: 'html', mediaType: 'text/html' };

/** What the caller would like best, by `f` or by Accept; the first offer is the standard one. */
export function chosenOffer({ c, query }: Pick<Exchange, 'c' | 'query'>, offers: readonly Offer[]): Offer {
  const wish = query.get('f');
  if (wish !== undefined) {
    const found = offers.find(({ id }) => id === wish);
    if (found !== undefined) return found;
    const known = offers.map(({ id }) => id).join(', ');
    throw new HttpProblem({
      code: 'invalid-parameter',
      detail: `f="${wish.slice(0, 40)}" is not written here; known are ${known}`,
    });
  }
  const types = offers.flatMap(({ mediaType, also = [] }) => [mediaType, ...also]);
  const liked = negotiate(c.req.header('accept'), types);
  const found = offers.find(({ mediaType, also = [] }) => mediaType === liked || also.some((type) => type === liked));
  if (found !== undefined) return found;
  throw new HttpProblem({ code: 'not-acceptable', detail: `Accept asks for none of ${types.join(', ')}` });
}
