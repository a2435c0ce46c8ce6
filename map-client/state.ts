import type { Problem } from '#geo-core/model/problem.ts';
import type { TableActions, TableState } from './draw/draw-session.ts';
import type { Drawing } from './drawing.ts';
import { createFigures, type Figures } from './figures.ts';
import type { Ink } from './ink.ts';
import type { KeepingActions, KeepingState } from './kept/keeper.ts';
import type { SimulationNote } from './planner-messages.ts';
import type { Units } from './wording/chosen-words.ts';
import type { Language, Words } from './wording/words.ts';

/** What the person looks at and has chosen. */
export type State = {
  /** Key of a bundled garden, or null for a file of the person's own. */
  readonly gardenKey: string | null;
  readonly ownFileName: string | null;
  /** Name of a rule set, or null for what the site asks for. */
  readonly rules: string | null;
  readonly drawing: Drawing | null;
  readonly plannedAt: Date | null;
  readonly problems: { readonly fileName: string; readonly list: readonly Problem[]; readonly more: number } | null;
  readonly busy: boolean;
  readonly keeping: KeepingState;
  /** What the last simulation of this plan said; null where none was asked for. */
  readonly simulation: SimulationNote | null;
  /** The drawing table, while something is drawn or changed; null while a plan is read. */
  readonly table: TableState | null;
  readonly stepIndex: number;
  readonly inkName: Ink['name'];
  readonly words: Words;
  /** null where the garden itself says it. */
  readonly units: Units;
  /** The finding the map has gone to. */
  readonly findingIndex: number | null;
  /** On a phone the margin is a sheet from below. */
  readonly marginOpen: boolean;
  /** Wide enough for the key to lie on the sheet itself. */
  readonly keyOnSheet: boolean;
  readonly view: { readonly zoom: number; readonly bearingDeg: number; readonly metresPerPixel: number };
};

/** What the person can do; panels call these and nothing else. */
export type Actions = {
  readonly chooseGarden: (key: string) => void;
  readonly openFiles: (files: readonly File[]) => void;
  readonly chooseRules: (name: string | null) => void;
  readonly setStep: (stepIndex: number) => void;
  readonly goToFinding: (index: number) => void;
  /** Writes the plan in one of the formats of the planner. */
  readonly download: (formatId: string) => void;
  readonly downloadSite: () => void;
  /** Random runs on the ground of the plan, another week each time. */
  readonly simulate: () => void;
  readonly openTable: () => void;
  readonly openNewGarden: () => void;
  readonly leaveTable: () => void;
  readonly table: TableActions;
  readonly keeping: KeepingActions;
  readonly chooseLanguage: (language: Language) => void;
  readonly chooseUnits: (units: Units) => void;
  readonly chooseInk: (name: Ink['name']) => void;
  readonly toggleMargin: () => void;
  readonly zoomBy: (steps: number) => void;
  readonly showWhole: () => void;
  readonly northUp: () => void;
};

/** Figures as the page writes them now: numbers of its language, lengths as chosen or else as the garden says. */
export function figuresOf({ words, units, drawing }: State): Figures {
  return createFigures(words.locale, units ?? drawing?.units ?? 'metric');
}

export type Store = {
  readonly get: () => State;
  readonly set: (change: Partial<State>) => void;
};

/** Holds the state; `changed` runs once after all the changes of one turn. */
export function createStore(first: State, changed: (state: State) => void): Store {
  let state = first;
  let scheduled = false;
  return {
    get: () => state,
    set(change) {
      state = { ...state, ...change };
      if (scheduled) return;
      scheduled = true;
      queueMicrotask(() => {
        scheduled = false;
        changed(state);
      });
    },
  };
}
