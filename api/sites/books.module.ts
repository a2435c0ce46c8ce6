import type { Module } from '#api/app.ts';
import { firmProfileSchema } from '#api/contract/papers-schema.ts';
import { pricesSchema } from '#api/contract/prices-schema.ts';
import { schemaFaults } from '#api/contract/schema-faults.ts';
import { checkIfMatch, isMatch } from '#api/items/etags.ts';
import { openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { readBody } from '#api/plan/read-body.ts';
import { readJson } from '#api/plan/read-json.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import { BOOK_KINDS, type BookKind } from '#api/store/books.ts';
import { readElevation, TerrainError } from '#geo-core/index.ts';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';

const ID = /^[A-Za-z0-9_-]{1,64}$/;
const GRID_TYPES = ['image/tiff', 'text/plain', 'application/json', 'application/prs.coverage+json'];

/** Rule sets, price books, profiles and grids of a firm, that sites name by id, or by id and version (`ours@3`). Every version stays. */
export const booksModule: Module = {
  name: 'books',
  mount(app, deps) {
    for (const kind of BOOK_KINDS) {
      const path = `${ROOT_PATH}/${kind}` as const;
      app.get(path, async (c) => {
        const { house, access } = await openExchange(c, deps, 'read');
        forbidShares(access.siteId);
        return c.json({ books: await house.store.books.list(access.tenant, kind) });
      });
      app.get(`${path}/:bookId`, async (c) => {
        const { house, access, query } = await openExchange(c, deps, 'read', ['version']);
        forbidShares(access.siteId);
        const id = c.req.param('bookId');
        const book = await house.store.books.one(access.tenant, kind, id, readVersion(query.get('version')));
        if (book === undefined) throw missing(id);
        const headers = { etag: `"${book.digest}"`, 'cache-control': 'private, no-cache' };
        if (isMatch(c.req.header('if-none-match'), book.digest)) return new Response(null, { status: 304, headers });
        return new Response(book.body, { headers: { ...headers, 'content-type': book.mediaType } });
      });
      app.get(`${path}/:bookId/versions`, async (c) => {
        const { house, access } = await openExchange(c, deps, 'read');
        forbidShares(access.siteId);
        const id = c.req.param('bookId');
        const versions = await house.store.books.versions(access.tenant, kind, id);
        if (versions.length === 0) throw missing(id);
        return c.json({ versions });
      });
      app.put(`${path}/:bookId`, async (c) => {
        const { house, access } = await openExchange(c, deps, 'write');
        const id = c.req.param('bookId');
        if (!ID.test(id)) {
          throw new HttpProblem({
            code: 'invalid-parameter',
            detail: 'an id is 1 to 64 letters, digits, hyphens and underscores',
          });
        }
        const body = await readBody(c.req.raw, deps.limits.bodyBytesMax);
        const mediaType = c.req.header('content-type')?.split(';')[0].trim().toLowerCase() ?? '';
        await checkBook(kind, id, mediaType, body, deps.limits);
        const present = await house.store.books.one(access.tenant, kind, id);
        checkIfMatch(c.req.header('if-match'), present?.digest);
        if (present !== undefined && isMatch(c.req.header('if-none-match'), present.digest)) throw changed();
        const kept = await house.store.books.put(access.tenant, kind, { id, mediaType, body }, present?.version);
        if (kept === undefined) throw changed();
        return new Response(null, { status: 204, headers: { etag: `"${kept.digest}"` } });
      });
      app.delete(`${path}/:bookId`, async (c) => {
        const { house, access } = await openExchange(c, deps, 'write');
        const id = c.req.param('bookId');
        const present = await house.store.books.one(access.tenant, kind, id);
        if (present === undefined) throw missing(id);
        checkIfMatch(c.req.header('if-match'), present.digest);
        if (await house.store.books.remove(access.tenant, kind, id)) return new Response(null, { status: 204 });
        throw missing(id);
      });
    }
  },
};

function readVersion(given: string | undefined): number | undefined {
  if (given === undefined) return undefined;
  if (/^[1-9]\d{0,8}$/.test(given)) return Number(given);
  throw new HttpProblem({
    code: 'invalid-parameter',
    detail: `version="${given.slice(0, 40)}" is no whole number from 1 on`,
  });
}

function changed(): HttpProblem {
  return new HttpProblem({
    code: 'precondition-failed',
    detail: 'another version was kept meanwhile: read it again, then write',
  });
}

/** Who looks at one shared site has no business with the firm's numbers. */
function forbidShares(siteId: string | undefined): void {
  if (siteId !== undefined) throw new HttpProblem({ code: 'forbidden', detail: 'a share shows one site and its plan' });
}

function missing(id: string): HttpProblem {
  return new HttpProblem({ code: 'not-found', detail: `there is none with the id "${id.slice(0, 80)}"` });
}

/** What is kept must be what a site can use: the same checks as for a site that holds it inline. */
async function checkBook(
  kind: BookKind,
  id: string,
  mediaType: string,
  body: Uint8Array<ArrayBuffer>,
  limits: Limits,
): Promise<void> {
  if (kind === 'grids') {
    if (!GRID_TYPES.includes(mediaType)) throw wrongType(GRID_TYPES);
    const extension = mediaType === 'image/tiff' ? 'tif' : mediaType === 'text/plain' ? 'asc' : 'covjson';
    try {
      await readElevation(body, { fileName: `${id}.${extension}`, maxCells: limits.cellsMax });
    } catch (error) {
      if (!(error instanceof TerrainError)) throw error;
      throw new HttpProblem({ code: 'invalid-elevation', detail: `${error.message} ${error.advice}` });
    }
    return;
  }
  if (mediaType !== 'application/json') throw wrongType(['application/json']);
  const read = readJson(body, limits.nestingMax);
  if ('detail' in read) throw new HttpProblem({ code: 'invalid-json', detail: read.detail });
  const errors = BOOK_ERRORS[kind](read.json);
  if (errors.length > 0) throw new HttpProblem({ code: 'invalid-feature', detail: 'this cannot be kept', errors });
}

/** What is wrong with a book, by kind. */
const BOOK_ERRORS = {
  'rule-sets': rulesErrors,
  'price-books': pricesErrors,
  'firm-profiles': (json: unknown) => schemaFaults(firmProfileSchema.safeParse(json).error),
} as const;

function rulesErrors(json: unknown) {
  const resolved = resolveRules(json, []);
  return 'problems' in resolved ? resolved.problems.map(({ pointer, message }) => ({ pointer, detail: message })) : [];
}

function pricesErrors(json: unknown) {
  return schemaFaults(pricesSchema.safeParse(json).error);
}

function wrongType(types: readonly string[]): HttpProblem {
  return new HttpProblem({
    code: 'unsupported-media-type',
    detail: `send ${types.join(', ')}`,
    headers: { accept: types.join(', ') },
  });
}
