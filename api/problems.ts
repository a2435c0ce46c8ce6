import type { ProblemDetails } from '#api/contract/problem-schema.ts';

/** The one table from codes to HTTP. */
export const PROBLEMS = {
  'invalid-json': { status: 400, title: 'The body is not JSON' },
  'invalid-body': { status: 400, title: 'The body cannot be read' },
  'invalid-parameter': { status: 400, title: 'A parameter of the request is not one this service knows' },
  'invalid-input': { status: 400, title: 'The inputs are not those of this process' },
  unauthorized: { status: 401, title: 'This needs a key' },
  forbidden: { status: 403, title: 'This key may not do that' },
  quota: { status: 403, title: 'This firm keeps as much as it may' },
  'no-such-process': { status: 404, title: 'There is no such process' },
  'no-such-job': { status: 404, title: 'There is no such job' },
  'result-not-ready': { status: 404, title: 'The job has not ended yet' },
  'not-found': { status: 404, title: 'There is nothing here' },
  'method-not-allowed': { status: 405, title: 'This method does not work here' },
  'not-acceptable': { status: 406, title: 'None of the formats asked for is one this service writes' },
  conflict: { status: 409, title: 'This does not fit with what is there' },
  'precondition-failed': { status: 412, title: 'This was changed since it was read' },
  'too-large': { status: 413, title: 'This is more than the service takes' },
  'unsupported-media-type': { status: 415, title: 'The body comes in a format this service does not read' },
  'invalid-site': { status: 422, title: 'The site cannot be planned as it is' },
  'invalid-question': { status: 422, title: 'What is asked makes no sense' },
  'invalid-feature': { status: 422, title: 'The feature cannot be kept as it is' },
  'invalid-elevation': { status: 422, title: 'The elevation cannot be read' },
  'nothing-to-write': { status: 422, title: 'The plan has nothing for this format' },
  'time-limit': { status: 422, title: 'Planning takes longer than the service allows' },
  'memory-limit': { status: 422, title: 'Planning takes more memory than the service allows' },
  'too-many-requests': { status: 429, title: 'This caller asks too often' },
  internal: { status: 500, title: 'The service has failed' },
  'store-unavailable': { status: 503, title: 'What is kept cannot be reached' },
  busy: { status: 503, title: 'The service has too much to do just now' },
} as const;
export type ProblemCode = keyof typeof PROBLEMS;

export type ProblemParts = {
  readonly code: ProblemCode;
  readonly detail: string;
  readonly errors?: readonly { readonly pointer: string; readonly detail: string }[];
  readonly more?: number;
  readonly headers?: Readonly<Record<string, string>>;
  /** URI of the kind of problem where a standard gives it one. */
  readonly type?: string;
};

/** Thrown anywhere in a request: becomes its answer. */
export class HttpProblem extends Error {
  override readonly name = 'HttpProblem';
  readonly parts: ProblemParts;

  constructor(parts: ProblemParts) {
    super(parts.detail);
    this.parts = parts;
  }
}

/** RFC 9457 `application/problem+json`; plain `application/json` for a caller who accepts nothing else. */
export function problemResponse(parts: ProblemParts, requestId: string, accept?: string): Response {
  const { status, title } = PROBLEMS[parts.code];
  const details: ProblemDetails = {
    type: parts.type ?? `/problems/${parts.code}`,
    title,
    status,
    detail: parts.detail,
    requestId,
    ...(parts.errors !== undefined && parts.errors.length > 0 && { errors: [...parts.errors] }),
    ...(parts.more !== undefined && parts.more > 0 && { more: parts.more }),
  };
  return new Response(JSON.stringify(details), {
    status,
    headers: {
      ...parts.headers,
      'content-type': accept?.trim() === 'application/json' ? 'application/json' : 'application/problem+json',
      'cache-control': 'no-store',
    },
  });
}
