import type { StageId } from '#geo-core/index.ts';
import type { Plan, PlanFinding, PlanGeometry } from '#geo-core/model/plan.ts';

/** Flat values only: the map's workers carry nothing else. `kind` and `id` are those of the plan where a plan feature is drawn. */
export type DrawnProperties = Readonly<Record<string, string | number | boolean | null>>;
export type DrawnFeature = {
  readonly type: 'Feature';
  readonly properties: DrawnProperties;
  readonly geometry: PlanGeometry;
};
export type DrawnSheet = { readonly type: 'FeatureCollection'; readonly features: readonly DrawnFeature[] };

export type LonLatPair = readonly [lonDeg: number, latDeg: number];
export type Bounds = readonly [westDeg: number, southDeg: number, eastDeg: number, northDeg: number];

/** A finding with the place to fly to: its own, or that of the feature it is about; null where it has none. */
export type PlacedFinding = PlanFinding & { readonly place: LonLatPair | null };

/** What one stage did on this site, in words. */
type StepNote = { readonly stage: StageId; readonly did: string };

/** All that the page draws and writes for one planned site; made in the worker, plain data. */
export type Drawing = {
  readonly title: string;
  readonly units: 'metric' | 'us';
  readonly plan: Plan;
  readonly findings: readonly PlacedFinding[];
  readonly steps: readonly StepNote[];
  readonly sheets: Readonly<Record<StageId, DrawnSheet>>;
  readonly bounds: Bounds;
  /** What the plan can be handed over as. */
  readonly formats: readonly { readonly id: string; readonly title: string }[];
};
