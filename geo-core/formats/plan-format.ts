import type { Plan } from '#geo-core/model/plan.ts';

/** A way to hand over a plan as a file. Writers are pure: the same plan gives the same bytes. */
export type PlanFormat = {
  /** Used in addresses and on the command line. */
  readonly id: string;
  readonly mediaType: string;
  /** Of the file name, without the dot. */
  readonly extension: string;
  readonly title: string;
  readonly write: (plan: Plan) => string | Uint8Array;
};
