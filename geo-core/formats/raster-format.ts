import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { Crs } from '#geo-core/projection/crs-registry.ts';
import type { PlanFormat } from './plan-format.ts';

/** What a picture of values may need beside the plan. */
export type BesidePlan = {
  /** Ground heights, as the site had them. */
  readonly elevation?: ElevationGrid | undefined;
  /** System that the answer was asked in. */
  readonly crs?: Crs | undefined;
};

/** A way to hand over values over the ground. */
export type RasterFormat = Omit<PlanFormat, 'write'> & {
  /** Undefined where `needs` is not there. */
  readonly write: (plan: Plan, beside: BesidePlan) => Uint8Array | undefined;
  /** What it takes, and how to give it, in a sentence. */
  readonly needs: string;
};
