import type { IncomingMessage, ServerResponse } from 'node:http';
import { Hono } from 'hono';
import { routePath } from 'hono/route';
import type { Access } from './access/access.ts';
import { type RateHeaders, type RateLimit, rateLimit } from './access/rate-limit.ts';
import type { ClientFiles } from './client/client.module.ts';
import type { House } from './house/house.ts';
import { MODULES } from './modules.ts';
import { ROOT_PATH } from './ogc/exchange.ts';
import type { Meter } from './operations/meter.ts';
import { traced } from './operations/traced.ts';
import type { Planner } from './plan/worker-pool.ts';
import { HttpProblem, problemResponse } from './problems.ts';
import type { Limits, Settings } from './read-config.ts';
import { readOn } from './read-on.ts';

/** Everything the service needs from the world around it. */
export type Deps = {
  readonly planner: Planner;
  readonly limits: Limits;
  readonly settings: Settings;
  /** What is kept, opened at its first use; throws where it cannot be. */
  readonly house: () => Promise<House>;
  readonly client: ClientFiles;
  readonly version: string;
  /** Milliseconds of a clock that never runs backwards. */
  readonly nowMs: () => number;
  readonly newRequestId: () => string;
  readonly meter: Meter;
  /** One event in one line. */
  readonly log: (event: LogEvent) => void;
};

export type LogEvent = Readonly<Record<string, string | number | undefined>>;

export type AppEnv = {
  /** Node's own request and response, where there is a socket. */
  Bindings: { incoming?: IncomingMessage; outgoing?: ServerResponse };
  Variables: { requestId: string; access?: Access; rates: RateLimit; rateHeaders?: RateHeaders };
};

/** A part of the service: what it is called and what it answers. */
export type Module = { readonly name: string; readonly mount: (app: Hono<AppEnv>, deps: Deps) => void };

const WRITES = new Set(['POST', 'PUT', 'PATCH', 'DELETE']);
const REQUEST_ID = /^[\w.-]{1,64}$/;

/** The service without a socket. Every answer that is not what was asked for is `application/problem+json`. */
export function createApp(deps: Deps): Hono<AppEnv> {
  const rates = rateLimit(deps.settings.rateMax);
  // Every path answers with and without a slash at its end.
  const app = new Hono<AppEnv>({ strict: false });
  app.use(async (c, next) => {
    const startMs = deps.nowMs();
    const given = c.req.header('x-request-id');
    const requestId = given !== undefined && REQUEST_ID.test(given) ? given : deps.newRequestId();
    c.set('requestId', requestId);
    c.set('rates', rates);
    const { method, path } = c.req;
    let route = '';
    await traced(method, c.req.raw.headers, async (span) => {
      await next();
      route = routePath(c);
      // Names of attributes: OpenTelemetry semantic conventions for HTTP.
      span.updateName(`${method} ${route}`);
      span.setAttributes({ 'http.request.method': method, 'http.route': route });
      span.setAttributes({ 'http.response.status_code': c.res.status, 'loopwright.request_id': requestId });
    });
    for (const [name, value] of Object.entries(SECURITY_HEADERS)) {
      if (!c.res.headers.has(name)) c.res.headers.set(name, value);
    }
    for (const [name, value] of Object.entries(c.get('rateHeaders') ?? {})) c.res.headers.set(name, value);
    c.res.headers.set('x-request-id', requestId);
    if (c.res.status >= 400 && !(await readOn(c.env?.incoming))) c.res.headers.set('connection', 'close');
    const ms = Math.round(10 * (deps.nowMs() - startMs)) / 10;
    deps.log({ event: 'request', requestId, method, route, path: path.slice(0, 200), status: c.res.status, ms });
    const access = c.get('access');
    if (access !== undefined && WRITES.has(method)) {
      const deed = {
        at: new Date().toISOString(),
        actor: access.actor,
        method,
        path: path.slice(0, 200),
        status: c.res.status,
        requestId,
      };
      await (await deps.house()).store.tenants.note(access.tenant, deed);
    }
  });
  app.options('*', (c, next) => {
    const asked = c.req.header('access-control-request-method');
    if (asked === undefined && c.req.path.startsWith(`${ROOT_PATH}/collections/`)) return next();
    const allowed = allowedMethods(app, c.req.path);
    return allowed.length === 0 ? next() : answerOptions(allowed, asked);
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
    if (error instanceof HttpProblem) return problemResponse(error.parts, requestId, c.req.header('accept'));
    deps.log({ event: 'failure', requestId, trace: error.stack ?? error.message });
    return problemResponse(
      { code: 'internal', detail: `this is a defect of the service; report it with ${requestId}` },
      requestId,
    );
  });
  return app;
}

/** For answers that are no page; pages bring their own policy. Any web page may call the service: it knows no cookies, only keys that a page must have. */
const SECURITY_HEADERS = {
  'access-control-allow-origin': '*',
  'access-control-expose-headers':
    'Allow, Content-Crs, ETag, Link, Location, Preference-Applied, RateLimit, RateLimit-Policy, Retry-After, X-Request-Id',
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
  'cross-origin-resource-policy': 'cross-origin',
  'referrer-policy': 'no-referrer',
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
};

/** A preflight of a page from elsewhere gets what pages ask for; anybody else the methods. */
function answerOptions(allowed: readonly string[], asked: string | undefined): Response {
  const allow = allowed.join(', ');
  if (asked === undefined) return new Response(null, { status: 200, headers: { allow } });
  return new Response(null, {
    status: 204,
    headers: {
      allow,
      'access-control-allow-methods': allow,
      'access-control-allow-headers':
        'Accept-Crs, Authorization, Content-Crs, Content-Encoding, Content-Type, If-Match, If-None-Match, Prefer, X-API-Key, X-Request-Id',
      'access-control-max-age': '86400',
    },
  });
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
  const given = (path.length > 1 ? path.replace(/\/+$/, '') : path).split('/');
  return wanted.length === given.length && wanted.every((part, i) => part.startsWith(':') || part === given[i]);
}
