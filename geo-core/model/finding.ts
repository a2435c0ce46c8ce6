import type { PlanePoint } from './position.ts';

export type Severity = 'stop' | 'caution' | 'note';

/** One thing the planner noticed. `at` is where, in the local plane; `subject` is the JSON Pointer or the plan feature id it is about. */
export type Finding = {
  /** `<stage>.<reason>` in kebab-case, for example `offset-boundary.lawn-vanished`. */
  readonly code: string;
  readonly severity: Severity;
  /** What and where, in one sentence, figures with units. */
  readonly message: string;
  /** What to do about it, in one sentence. */
  readonly advice: string;
  readonly value?: number;
  readonly limit?: number;
  readonly unit?: string;
  readonly at?: PlanePoint;
  readonly subject?: string;
};

/** What every stage returns: its output and what it noticed. */
export type Staged<Output> = { readonly output: Output; readonly findings: readonly Finding[] };
