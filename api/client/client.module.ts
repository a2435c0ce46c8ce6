import type { Module } from '#api/app.ts';
import { HttpProblem } from '#api/problems.ts';

export type ClientFile = {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** The same in gzip, where that is worth it. */
  readonly gzipped?: Uint8Array<ArrayBuffer>;
  readonly mediaType: string;
  /** Strong validator, quoted. */
  readonly etag: string;
};

/** The built files of the map client, by path below the root (`index.html`). Only what is listed can be served. */
export type ClientFiles = ReadonlyMap<string, ClientFile>;

const PAGE_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "worker-src 'self'",
  "img-src 'self' data:",
  "font-src 'self'",
  "connect-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** The polygon kernel's glue writes its own functions and compiles WebAssembly: allowed in the planner's worker and nowhere else. */
const PLANNER_POLICY = "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'";

const HASHED = /^assets\/.+-[\w-]{8,}\.\w+$/;
const PLANNER_WORKER = /^assets\/planner-worker[^/]*$/;

/** The map client, as it was built. */
export const clientModule: Module = {
  name: 'client',
  mount(app, { client }) {
    app.get('/*', (c, next) => {
      const path = c.req.path === '/' ? 'index.html' : c.req.path.slice(1);
      const file = client.get(path);
      if (file === undefined && path === 'index.html') {
        throw new HttpProblem({ code: 'not-found', detail: 'the map client is not built: npm start builds it' });
      }
      if (file === undefined) return next();
      const headers = new Headers({
        'content-type': file.mediaType,
        'cache-control': HASHED.test(path) ? 'public, max-age=31536000, immutable' : 'no-cache',
        'content-security-policy': PLANNER_WORKER.test(path) ? PLANNER_POLICY : PAGE_POLICY,
        'cross-origin-opener-policy': 'same-origin',
        etag: file.etag,
      });
      if (file.gzipped !== undefined) headers.set('vary', 'Accept-Encoding');
      if (isCurrent(c.req.header('if-none-match'), file.etag)) return new Response(null, { status: 304, headers });
      const takesGzip = /\bgzip\b/.test(c.req.header('accept-encoding') ?? '');
      if (file.gzipped === undefined || !takesGzip) return new Response(file.bytes, { headers });
      headers.set('content-encoding', 'gzip');
      return new Response(file.gzipped, { headers });
    });
  },
};

function isCurrent(ifNoneMatch: string | undefined, etag: string): boolean {
  if (ifNoneMatch === undefined) return false;
  return ifNoneMatch.split(',').some((tag) => tag.trim().replace(/^W\//, '') === etag || tag.trim() === '*');
}
