import { HttpProblem } from '#api/problems.ts';

export type RateHeaders = Readonly<Record<string, string>>;

export type RateLimit = {
  /** Counts one request; throws 429 where there were too many. Returns the headers that tell how many are left. */
  readonly take: (actor: string, nowMs: number) => RateHeaders;
};

const WINDOW_MS = 60_000;
/** As many callers as are remembered; the oldest are forgotten first. */
const ACTORS_MAX = 10_000;

/** So many requests a minute for each caller, in fixed windows; told by the fields of draft-ietf-httpapi-ratelimit-headers. */
export function rateLimit(requestsMax: number): RateLimit {
  const windows = new Map<string, { endsMs: number; left: number }>();
  return {
    take(actor, nowMs) {
      let window = windows.get(actor);
      if (window === undefined || window.endsMs <= nowMs) {
        windows.delete(actor);
        window = { endsMs: nowMs + WINDOW_MS, left: requestsMax };
        windows.set(actor, window);
        const [oldest] = windows.keys();
        if (windows.size > ACTORS_MAX) windows.delete(oldest);
      }
      const waitS = Math.ceil((window.endsMs - nowMs) / 1000);
      const headers = (left: number) => ({
        'ratelimit-policy': `"minute";q=${requestsMax};w=${WINDOW_MS / 1000}`,
        ratelimit: `"minute";r=${left};t=${waitS}`,
      });
      if (window.left === 0) {
        throw new HttpProblem({
          code: 'too-many-requests',
          detail: `more than ${requestsMax} requests in a minute with one key (LOOPWRIGHT_RATE_MAX): try again in ${waitS} s`,
          headers: { ...headers(0), 'retry-after': String(waitS) },
        });
      }
      window.left -= 1;
      return headers(window.left);
    },
  };
}
