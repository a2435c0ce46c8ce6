import type { BesidePlan } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';

/** What a file may need beside the plan. */
type BesideFile = BesidePlan & {
  /** Width of a picture, pixels. */
  readonly widthPx?: number | undefined;
};

/** A way to hand over a plan as a file, here or in the browser. */
export type FileFormat = {
  /** Used in addresses and on the command line. */
  readonly id: string;
  readonly mediaType: string;
  /** Of the file name, without the dot. */
  readonly extension: string;
  readonly title: string;
  /** Undefined where something is missing that it `needs`. */
  readonly write: (
    plan: Plan,
    beside: BesideFile,
  ) => string | Uint8Array | undefined | Promise<string | Uint8Array | undefined>;
  readonly needs?: string;
};
