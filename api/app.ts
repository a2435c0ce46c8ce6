import { Hono } from 'hono';
import type { ClientFiles } from './client/client.module.ts';
import { MODULES } from './modules.ts';
import type { Planner } from './plan/worker-pool.ts';
import { HttpProblem, problemResponse } from './problems.ts';
import type { Limits } from './read-config.ts';

/** Everything the service needs from the world around it. */
export type Deps = {
  readonly planner: Planner;
  readonly limits: Limits;
  readonly client: ClientFiles;
  readonly version: string;
  /** Milliseconds of a clock that never runs backwards. */
  readonly nowMs: () => number;
  readonly newRequestId: () => string;
  /** One event in one line. */
  readonly log: (event: LogEvent) => void;
};

export type LogEvent = Readonly<Record<string, string | number | undefined>>;

export type AppEnv = { Variables: { requestId: string } };

/** A part of the service: what it is called and what it answers. */
export type Module = { readonly name: string; readonly mount: (app: Hono<AppEnv>, deps: Deps) => void };

const REQUEST_ID = /^[\w.-]{1,64}$/;

/** The service without a socket. Every answer that is not what was asked for is `application/problem+json`. */
export function createApp(deps: Deps): Hono<AppEnv> {
  const app = new Hono<AppEnv>();
  app.use(async (c, next) => {
    const startMs = deps.nowMs();
    const given = c.req.header('x-request-id');
    const requestId = given !== undefined && REQUEST_ID.test(given) ? given : deps.newRequestId();
    c.set('requestId', requestId);
    await next();
    for (const [name, value] of Object.entries(SECURITY_HEADERS)) {
      if (!c.res.headers.has(name)) c.res.headers.set(name, value);
    }
    c.res.headers.set('x-request-id', requestId);
    if (mayBeUnread(c.req.method, c.res.status)) c.res.headers.set('connection', 'close');
    const { method, path } = c.req;
    const ms = Math.round(deps.nowMs() - startMs);
    deps.log({ event: 'request', requestId, method, path: path.slice(0, 200), status: c.res.status, ms });
  });
  app.options('*', (c, next) => {
    const allowed = allowedMethods(app, c.req.path);
    return allowed.length === 0 ? next() : answerOptions(allowed, c.req.header('access-control-request-method'));
  });
  for (const module of MODULES) module.mount(app, deps);
  app.notFound((c) => {
    const allowed = allowedMethods(app, c.req.path);
    const requestId = c.get('requestId');
    if (allowed.length === 0) {
      return problemResponse({ code: 'not-found', detail: `nothing at ${c.req.path.slice(0, 200)}` }, requestId);
    }
    const allow = allowed.join(', ');
    const detail = `${c.req.method} does not work at ${c.req.path}: use ${allow}`;
    return problemResponse({ code: 'method-not-allowed', detail, headers: { allow } }, requestId);
  });
  app.onError((error, c) => {
    const requestId = c.get('requestId');
    if (error instanceof HttpProblem) return problemResponse(error.parts, requestId);
    deps.log({ event: 'failure', requestId, trace: error.stack ?? error.message });
    return problemResponse(
      { code: 'internal', detail: `this is a defect of the service; report it with ${requestId}` },
      requestId,
    );
  });
  return app;
}

/** A body may not have been read to its end: the connection cannot carry another request, and the sender is told so. */
function mayBeUnread(method: string, status: number): boolean {
  return method !== 'GET' && method !== 'HEAD' && status >= 400 && status !== 422;
}

/** For answers that are no page; pages bring their own policy. Any web page may call the service: it keeps no secrets and no state. */
const SECURITY_HEADERS = {
  'access-control-allow-origin': '*',
  'access-control-expose-headers': 'Allow, Content-Crs, ETag, Retry-After, X-Request-Id',
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
  'cross-origin-resource-policy': 'cross-origin',
  'referrer-policy': 'no-referrer',
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
};

function answerOptions(allowed: readonly string[], asked: string | undefined): Response {
  const allow = allowed.join(', ');
  const preflight = {
    'access-control-allow-methods': allow,
    'access-control-allow-headers': 'Accept-Crs, Content-Crs, Content-Encoding, Content-Type, X-Request-Id',
    'access-control-max-age': '86400',
  };
  return new Response(null, { status: 204, headers: { allow, ...(asked !== undefined && preflight) } });
}

/** The methods that some route answers at a path; routes for all paths do not count. */
function allowedMethods(app: Hono<AppEnv>, path: string): string[] {
  const here = app.routes.filter(
    (route) => route.method !== 'ALL' && !route.path.includes('*') && isAt(route.path, path),
  );
  const methods = new Set(here.flatMap(({ method }) => (method === 'GET' ? ['GET', 'HEAD'] : [method])));
  return methods.size === 0 ? [] : [...methods, 'OPTIONS'];
}

function isAt(pattern: string, path: string): boolean {
  const wanted = pattern.split('/');
  const given = path.split('/');
  return wanted.length === given.length && wanted.every((part, i) => part.startsWith(':') || part === given[i]);
}
