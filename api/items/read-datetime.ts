import { HttpProblem } from '#api/problems.ts';

const MOMENT = /^\d{4}-\d{2}-\d{2}[Tt ]\d{2}:\d{2}:\d{2}(?:\.\d+)?(?:[Zz]|[+-]\d{2}:\d{2})$/;
const DAY = /^\d{4}-\d{2}-\d{2}$/;
const DAY_MS = 86_400_000;

type Bounds = { readonly from?: string | undefined; readonly to?: string | undefined };

/** `datetime`: an instant, a day, or an interval with `..` for an open end (RFC 3339, OGC 17-069r4, 7.15.4) -> bounds, both included. */
export function readDatetime(text: string | undefined): Bounds {
  if (text === undefined) return {};
  const parts = text.split('/');
  if (parts.length === 1 && isOpen(text)) throw wrong(text);
  if (parts.length > 2) throw wrong(text);
  const [first, last] = [parts[0], parts.at(-1) ?? ''];
  const from = isOpen(first) ? undefined : momentOf(first, text).from;
  const to = isOpen(last) ? undefined : momentOf(last, text).to;
  if (from !== undefined && to !== undefined && from > to) throw wrong(text);
  return { from, to };
}

function isOpen(part: string): boolean {
  return part === '' || part === '..';
}

function momentOf(part: string, whole: string): { readonly from: string; readonly to: string } {
  const ms = MOMENT.test(part) || DAY.test(part) ? Date.parse(part.toUpperCase().replace(' ', 'T')) : Number.NaN;
  if (Number.isNaN(ms)) throw wrong(whole);
  const from = new Date(ms).toISOString();
  return { from, to: DAY.test(part) ? new Date(ms + DAY_MS - 1).toISOString() : from };
}

function wrong(text: string): HttpProblem {
  const detail = `datetime="${text.slice(0, 80)}" is neither an instant of RFC 3339 nor an interval of two, such as 2027-03-01T00:00:00Z/..`;
  return new HttpProblem({ code: 'invalid-parameter', detail });
}
