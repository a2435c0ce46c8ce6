import type { Module } from '#api/app.ts';
import { firmProfileSchema } from '#api/contract/papers-schema.ts';
import { schemaFaults } from '#api/contract/schema-faults.ts';
import { siteMembersSchema } from '#api/contract/site-schema.ts';
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

/** Rule sets, price books, profiles and grids of a firm, that sites name by id. */
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
        const { house, access } = await openExchange(c, deps, 'read');
        forbidShares(access.siteId);
        const book = await house.store.books.one(access.tenant, kind, c.req.param('bookId'));
        if (book === undefined) throw missing(c.req.param('bookId'));
        return new Response(book.body, {
          headers: { 'content-type': book.mediaType, etag: `"${book.digest}"`, 'cache-control': 'private, no-cache' },
        });
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
        await house.store.books.put(access.tenant, kind, { id, mediaType, body });
        return new Response(null, { status: 204 });
      });
      app.delete(`${path}/:bookId`, async (c) => {
        const { house, access } = await openExchange(c, deps, 'write');
        if (await house.store.books.remove(access.tenant, kind, c.req.param('bookId')))
          return new Response(null, { status: 204 });
        throw missing(c.req.param('bookId'));
      });
    }
  },
};

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
  const { error } = siteMembersSchema.pick({ prices: true }).safeParse({ prices: json });
  return schemaFaults(error, 1);
}

function wrongType(types: readonly string[]): HttpProblem {
  return new HttpProblem({
    code: 'unsupported-media-type',
    detail: `send ${types.join(', ')}`,
    headers: { accept: types.join(', ') },
  });
}
