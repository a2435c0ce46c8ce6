import { HttpProblem } from '#api/problems.ts';
import type { FailedAnswer, PlanAnswer, RefusedAnswer } from './plan-job.ts';

const RETRY_AFTER_S = '5';

/** What was planned; throws what the caller is told instead. */
export function plannedOrProblem(answer: PlanAnswer): Extract<PlanAnswer, { outcome: 'planned' }> {
  if (answer.outcome === 'refused') throw refusedProblem(answer);
  if (answer.outcome === 'failed') throw failure(answer);
  return answer;
}

export function busyProblem(detail: string): HttpProblem {
  return new HttpProblem({ code: 'busy', detail, headers: { 'retry-after': RETRY_AFTER_S } });
}

function refusedProblem({ code, detail, problems, more }: RefusedAnswer): HttpProblem {
  if (code === 'busy') return busyProblem(detail);
  const errors = problems.map(({ pointer, message }) => ({ pointer, detail: message }));
  return new HttpProblem({ code, detail, errors, more });
}

function failure({ trace }: FailedAnswer): Error {
  const error = new Error('planning failed');
  error.stack = trace;
  return error;
}
