import type { PlanAnswer } from '#api/plan/plan-job.ts';

/** How many sites came out how. */
export type Tally = {
  planned: number;
  /** Planned, but a finding says stop. */
  stopped: number;
  refused: number;
  /** Code of the problem or of the finding -> sites. */
  readonly refusals: Map<string, number>;
  readonly stops: Map<string, number>;
};

export function newTally(): Tally {
  return { planned: 0, stopped: 0, refused: 0, refusals: new Map(), stops: new Map() };
}

export type Outcome = { readonly refusal: string } | { readonly stops: readonly string[] };

export function outcomeOf(answer: PlanAnswer): Outcome {
  if (answer.outcome === 'planned') return { stops: answer.figures?.stops ?? [] };
  return { refusal: answer.outcome === 'failed' ? 'internal' : answer.code };
}

export function count(tally: Tally, outcome: Outcome): void {
  if ('refusal' in outcome) {
    tally.refused++;
    add(tally.refusals, outcome.refusal);
    return;
  }
  tally.planned++;
  if (outcome.stops.length > 0) tally.stopped++;
  for (const code of outcome.stops) add(tally.stops, code);
}

function add(counts: Map<string, number>, code: string): void {
  counts.set(code, (counts.get(code) ?? 0) + 1);
}
