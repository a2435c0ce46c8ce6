import { schemaFaults } from '#api/contract/schema-faults.ts';
import type { z } from '#api/contract/zod.ts';
import type { Planner } from '#api/plan/worker-pool.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import type { Store } from '#api/store/open-store.ts';
import type { Problem } from '#geo-core/model/problem.ts';

/** A value of an input and where it stood in the body (RFC 6901). */
export type Given = { readonly value: unknown; readonly pointer: string };
/** Values by the id of their input, in the order given. */
export type Inputs = Readonly<Record<string, readonly Given[]>>;
export type Outputs = Readonly<Record<string, unknown>>;

export type Input = {
  readonly title: string;
  readonly description: string;
  /** For the description of the process. */
  readonly schema: z.ZodType;
  /** What is wrong with a value, seen before anything is run; pointers begin at the value. */
  readonly faults: (value: unknown) => readonly Problem[];
  /** Media types a value may say it has; the first is the usual one. */
  readonly mediaTypes: readonly string[];
  readonly minOccurs: number;
  readonly maxOccurs: number;
  /** The value that an address of this service (behind its root) stands for. Nothing is ever fetched. */
  readonly valueAt?: (path: string) => unknown;
};

export type Output = {
  readonly title: string;
  readonly description: string;
  readonly schema: z.ZodType;
  readonly mediaType: string;
};

/** What a process works with. */
export type ProcessWork = {
  readonly tenant: string;
  readonly store: Store;
  readonly planner: Planner;
  readonly limits: Limits;
  /** Says how far it is; throws where nobody waits for it any more. */
  readonly progress: (percent: number, message: string) => Promise<void>;
  readonly signal: AbortSignal;
};

export type Process = {
  readonly id: string;
  readonly version: string;
  readonly title: string;
  readonly description: string;
  readonly keywords: readonly string[];
  readonly inputs: Readonly<Record<string, Input>>;
  readonly outputs: Readonly<Record<string, Output>>;
  /** Too long to wait for: whoever runs it gets a job, and the job has a handler of its own (`house.ts`). */
  readonly isJobOnly?: true;
  /** Throws `HttpProblem` where the inputs allow no answer, `TryAgain` where there is too much to do just now. */
  readonly run: (inputs: Inputs, work: ProcessWork) => Promise<Outputs>;
};

/** The faults of a value by a schema. */
export function faultsBy(schema: z.ZodType): Input['faults'] {
  return (value) =>
    schemaFaults(schema.safeParse(value).error).map(({ pointer, detail }) => ({ pointer, message: detail }));
}

export function invalidInput(errors: readonly { readonly pointer: string; readonly detail: string }[]): HttpProblem {
  const [first] = errors;
  const detail = errors.length === 1 ? `${first.pointer}: ${first.detail}` : 'several inputs must be corrected first';
  return new HttpProblem({ code: 'invalid-input', detail, errors: errors.slice(0, 100) });
}
