import type { Problem } from '#geo-core/model/problem.ts';
import type { Drawing, DrawnFeature } from './drawing.ts';
import type { Units } from './wording/chosen-words.ts';

/** Asks the worker for the last plan as a file. */
export type WriteRequest = { readonly request: number; readonly write: string };

/** Asks the worker for random runs on the ground of the last plan, for a week of full growth. */
export type SimulateRequest = { readonly request: number; readonly simulate: { readonly seed: number } };

/** What a simulation says in words, and its visits as the sheet shades them. */
export type SimulationNote = {
  readonly share: number;
  readonly clockH: number;
  readonly mowingH: number;
  readonly edgeLapH: number;
  readonly chargingTrips: number;
  readonly passages: readonly { readonly passage: string; readonly trips: number }[];
};
export type SimulateReply = {
  readonly request: number;
  readonly outcome: 'simulated';
  readonly note: SimulationNote;
  readonly visits: readonly DrawnFeature[];
};

/** Asks the worker for a plan. `rules` is the name of a rule set, or null for what the site itself asks for. */
export type PlanRequest = {
  readonly request: number;
  readonly text: string;
  readonly fileName: string;
  readonly rules: string | null;
  /** What it is drawn and told in. */
  readonly locale: string;
  readonly units: Units;
  readonly elevation: {
    readonly fileName: string;
    readonly bytes: ArrayBuffer;
    /** Text of the projection file beside an ASCII grid. */
    readonly projectionWkt: string | null;
  } | null;
};

export type WriteReply = {
  readonly request: number;
  readonly outcome: 'written';
  readonly content: string | Uint8Array<ArrayBuffer>;
  readonly mediaType: string;
  /** Of the file: `plan.kml`, `proposal.pdf`. */
  readonly ending: string;
};

export type PlanReply =
  | { readonly request: number; readonly outcome: 'drawn'; readonly drawing: Drawing }
  | {
      readonly request: number;
      readonly outcome: 'refused';
      readonly problems: readonly Problem[];
      readonly more: number;
    };
