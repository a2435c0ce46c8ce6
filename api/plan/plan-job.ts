import type { ProblemCode } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import type { PlanKind } from '#geo-core/model/plan.ts';
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
  readonly limits: Limits;
};

type PlannedAnswer = {
  readonly outcome: 'planned';
  readonly body: Uint8Array;
  readonly mediaType: string;
  readonly headers: Readonly<Record<string, string>>;
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
/** What a worker says: that it is up and takes the job now, every stage it has done, and then its answer. */
export type WorkerMessage = 'started' | StageDone | PlanAnswer;

export function refusal(code: ProblemCode, detail: string, problems: readonly Problem[] = [], more = 0): RefusedAnswer {
  return { outcome: 'refused', code, detail, problems, more };
}
