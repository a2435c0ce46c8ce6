import type { PaperDetails } from '#geo-core/model/paper-details.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { SiteInput } from '#geo-core/model/site.ts';

/** All that papers are made from. */
export type Handover = {
  readonly plan: Plan;
  /** As given: its ground is drawn, its locale and quiet times are used. */
  readonly site: Pick<SiteInput, 'features' | 'quiet' | 'locale'>;
  readonly units: 'metric' | 'us';
  readonly details: PaperDetails;
  /** The day the paper is written, YYYY-MM-DD, where the details name none. */
  readonly today: string;
  /** Other plans of the same site, to be set beside this one. */
  readonly options: readonly { readonly name: string; readonly plan: Plan }[];
};
