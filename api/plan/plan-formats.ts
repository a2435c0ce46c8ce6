import type { Plan } from '#geo-core/model/plan.ts';

export type PlanFormat = {
  readonly id: string;
  readonly mediaType: string;
  /** Of a file, without the dot. */
  readonly extension: string;
  /** Media types that ask for it too. */
  readonly alsoFor: readonly string[];
  readonly write: (plan: Plan) => Uint8Array | Promise<Uint8Array>;
};

/** What a plan can be written as, the standard answer first. */
export const PLAN_FORMATS: readonly PlanFormat[] = [
  {
    id: 'geojson',
    mediaType: 'application/geo+json',
    extension: 'geojson',
    alsoFor: ['application/json'],
    write: (plan) => new TextEncoder().encode(JSON.stringify(plan)),
  },
];
