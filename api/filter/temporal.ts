import { FilterError } from './filter-error.ts';

/** A stretch of time in milliseconds since 1970; an instant starts where it ends, open ends are infinite. */
export type Span = { readonly startMs: number; readonly endMs: number };

const DATE = /^\d{4}-\d{2}-\d{2}$/;
const TIMESTAMP = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(?:\.\d+)?Z$/;

/** An instant; undefined where the text is neither a date nor a timestamp in UTC. */
export function instantOf(text: string): Span | undefined {
  if (!DATE.test(text) && !TIMESTAMP.test(text)) return undefined;
  const ms = Date.parse(text);
  return Number.isNaN(ms) ? undefined : { startMs: ms, endMs: ms };
}

export function literalInstant(text: string, pattern: 'date' | 'timestamp'): Span {
  const span = (pattern === 'date' ? DATE : TIMESTAMP).test(text) ? instantOf(text) : undefined;
  if (span !== undefined) return span;
  throw new FilterError(`"${text.slice(0, 40)}" is no ${pattern} of RFC 3339 in UTC`);
}

/** The temporal functions (OGC 21-065r2, 7.5), by the relations of Allen's interval algebra. */
export const TEMPORAL: Readonly<Record<string, (a: Span, b: Span) => boolean>> = {
  t_after: (a, b) => a.startMs > b.endMs,
  t_before: (a, b) => a.endMs < b.startMs,
  t_contains: (a, b) => a.startMs < b.startMs && a.endMs > b.endMs,
  t_disjoint: (a, b) => a.startMs > b.endMs || a.endMs < b.startMs,
  t_during: (a, b) => a.startMs > b.startMs && a.endMs < b.endMs,
  t_equals: (a, b) => a.startMs === b.startMs && a.endMs === b.endMs,
  t_finishedby: (a, b) => a.startMs < b.startMs && a.endMs === b.endMs,
  t_finishes: (a, b) => a.startMs > b.startMs && a.endMs === b.endMs,
  t_intersects: (a, b) => a.startMs <= b.endMs && a.endMs >= b.startMs,
  t_meets: (a, b) => a.endMs === b.startMs,
  t_metby: (a, b) => a.startMs === b.endMs,
  t_overlappedby: (a, b) => a.startMs > b.startMs && a.startMs < b.endMs && a.endMs > b.endMs,
  t_overlaps: (a, b) => a.startMs < b.startMs && a.endMs > b.startMs && a.endMs < b.endMs,
  t_startedby: (a, b) => a.startMs === b.startMs && a.endMs > b.endMs,
  t_starts: (a, b) => a.startMs === b.startMs && a.endMs < b.endMs,
};
