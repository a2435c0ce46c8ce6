import type { ProblemDetails } from '#api/contract/problem-schema.ts';
import type { PlanAnswer, RefusedAnswer } from '#api/plan/plan-job.ts';
import { PROBLEMS } from '#api/problems.ts';

/** Ways to write many answers: RFC 8142, or JSON separated by line feeds. */
export const SEQUENCES = [
  { id: 'geojson-seq', mediaType: 'application/geo+json-seq', prefix: '\u001e' },
  { id: 'ndjson', mediaType: 'application/x-ndjson', prefix: '' },
] as const;
export type Sequence = (typeof SEQUENCES)[number];

/** Where an answer belongs: the number of its site in the order they came, from 0, and what else is to be said with it. */
export type AnswerSource = Readonly<Record<string, unknown>> & { readonly record: number };

const utf8 = new TextEncoder();

/**
 * One answer in one line. A plan is the FeatureCollection that the worker wrote; a refusal is one without features whose member `problem` is what a
 * single request would have been answered with (RFC 9457).
 */
export function answerLine(answer: PlanAnswer, source: AnswerSource, { prefix }: Sequence): Uint8Array<ArrayBuffer> {
  const body = answer.outcome === 'planned' ? answer.body : refusedLine(answer, source);
  const head = utf8.encode(prefix);
  const line = new Uint8Array(head.length + body.length);
  line.set(head);
  line.set(body, head.length);
  return line;
}

function refusedLine(answer: Exclude<PlanAnswer, { readonly outcome: 'planned' }>, source: AnswerSource): Uint8Array {
  const problem = problemOf(
    answer.outcome === 'refused'
      ? answer
      : { ...answer, code: 'internal', detail: 'this is a defect of the service', problems: [], more: 0 },
  );
  return utf8.encode(`${JSON.stringify({ type: 'FeatureCollection', features: [], problem, source })}\n`);
}

function problemOf({
  code,
  detail,
  problems,
  more,
}: Omit<RefusedAnswer, 'outcome'>): Omit<ProblemDetails, 'requestId'> {
  const errors = problems.map(({ pointer, message }) => ({ pointer, detail: message }));
  return {
    type: `/problems/${code}`,
    ...PROBLEMS[code],
    detail,
    ...(errors.length > 0 && { errors }),
    ...(more > 0 && { more }),
  };
}
