import type { ProblemCode } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import type { FitVerdict } from '#geo-core/index.ts';
import type { PlanKind, PlanSummary } from '#geo-core/model/plan.ts';
import type { Problem } from '#geo-core/model/problem.ts';

/** A grid file as it came. */
export type ElevationFile = {
  readonly bytes: Uint8Array;
  readonly fileName: string;
  /** EPSG code of the grid where its file does not say it. */
  readonly epsg?: number;
};

/** One plan asked for: bytes and strings only, so that it crosses to a worker for nothing. */
export type PlanJob = {
  /** UTF-8 JSON. */
  readonly site: Uint8Array;
  readonly elevation?: ElevationFile;
  /** The plan of the site as it is kept, JSON: then nothing is planned, only written. */
  readonly keptPlan?: Uint8Array;
  /** Instead of what the site's own member `rules` says: a name, or parsed JSON. */
  readonly rules?: unknown;
  /** What the site's coordinates are in, by name (`EPSG:28992`); without it WGS 84, or what an old `crs` member says. */
  readonly siteCrs?: string;
  /** What the answer's coordinates are to be in. */
  readonly planCrs?: string;
  /** Which features come back; without it all. */
  readonly include?: readonly PlanKind[];
  readonly units?: 'metric' | 'us';
  /** Id of a format. */
  readonly format: string;
  /** Of a picture, pixels. */
  readonly widthPx?: number;
  /** Members that are put beside those of the plan, in GeoJSON only. */
  readonly also?: Readonly<Record<string, unknown>>;
  /** Whether the site may be a Feature: its ground alone. */
  readonly takesFeature?: boolean;
  /** Split between so many machines, or the fewest that do: the answer is a `LawnSplit` as JSON. */
  readonly machines?: number | 'fewest';
  /** Whether the figures are to come beside the body. */
  readonly wantsFigures?: boolean;
  readonly limits: Limits;
};

type PlannedAnswer = {
  readonly outcome: 'planned';
  readonly body: Uint8Array;
  readonly mediaType: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly figures?: PlanFigures;
};
/** What is counted over many plans. */
export type PlanFigures = {
  /** Name of the rule set. */
  readonly rules: string;
  readonly summary: PlanSummary;
  readonly auditPassed: boolean;
  /** Codes of the findings that stop the plan, each once. */
  readonly stops: readonly string[];
  readonly cautions: number;
  /** Whether the machine class of the rule set suits the site; absent in rows of older versions. */
  readonly machine?: {
    readonly verdict: FitVerdict;
    readonly atLeast: number | null;
    /** Codes of what speaks against one machine, each once. */
    readonly reasons: readonly string[];
  };
  /** The site's own id; absent in rows of older versions. */
  readonly ownId?: string | number | null;
  /** The price book used, by id and version; null for prices without a name. */
  readonly priceBook?: string | null;
  /** Middle of the plan's box, longitude and latitude; null where nothing is laid. */
  readonly at: readonly [number, number] | null;
};
export type RefusedAnswer = {
  readonly outcome: 'refused';
  readonly code: ProblemCode;
  readonly detail: string;
  readonly problems: readonly Problem[];
  readonly more: number;
};
/** A defect of ours: for the log, never for the answer. */
export type FailedAnswer = { readonly outcome: 'failed'; readonly trace: string };

export type PlanAnswer = PlannedAnswer | RefusedAnswer | FailedAnswer;
/** How far a plan is. */
export type StageDone = { readonly outcome: 'stage'; readonly done: number; readonly of: number };
/** A job as a worker gets it. */
export type WorkerTask = { readonly job: PlanJob; readonly tellsStages: boolean };
/** What a worker says: once that it is up, then for each task the stages it has done (where they are asked for) and its answer. */
export type WorkerMessage = 'up' | StageDone | PlanAnswer;

export function refusal(code: ProblemCode, detail: string, problems: readonly Problem[] = [], more = 0): RefusedAnswer {
  return { outcome: 'refused', code, detail, problems, more };
}
