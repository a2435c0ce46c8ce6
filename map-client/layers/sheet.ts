import type { LayerSpecification } from 'maplibre-gl';
import type { StageId } from '#geo-core/index.ts';
import type { PlanKind } from '#geo-core/model/plan.ts';
import type { DrawnFeature, DrawnProperties } from '../drawing.ts';
import type { Ink } from '../ink.ts';
import type { WordKey } from '../wording/words.ts';
import type { Material } from './material.ts';
import type { Swatch } from './swatch.ts';

/** From the bottom of the drawing to the top; within a depth the stages follow their order. */
export const DEPTHS = ['wash', 'hatch', 'mark', 'line', 'symbol', 'note'] as const;
type Depth = (typeof DEPTHS)[number];

type WithoutSource<Layer> = Layer extends LayerSpecification & { source: string } ? Omit<Layer, 'source'> : never;

export type SheetLayer = {
  readonly depth: Depth;
  /** Drawn only while the stage view stands at this stage: what the finished plan no longer shows. */
  readonly onlyAtItsStep?: true;
  readonly layer: WithoutSource<LayerSpecification>;
};

/** A line of the key; listed when `shows` is true of a feature on the sheet. */
export type KeyEntry = {
  readonly label: WordKey;
  /** What its label names, where that is a word of its own. */
  readonly what?: WordKey;
  readonly shows: (properties: DrawnProperties) => boolean;
  readonly swatch: Swatch;
  /** Listed only while the stage view stands at this stage. */
  readonly onlyAtItsStep?: true;
  /** Listed from this zoom on, where the sheet draws it only then. */
  readonly fromZoom?: number;
};

/** What one stage adds to the drawing: its features, how they are drawn, and the words for them. */
export type Sheet = {
  readonly stage: StageId;
  /** One sentence on what the stage did on this site. */
  readonly did: (material: Material) => string;
  /** Features of the plan that belong on this sheet, by kind. */
  readonly kinds: readonly PlanKind[];
  /** What else the stage's own output has to show. */
  readonly draw: (material: Material) => readonly DrawnFeature[];
  readonly layers: (ink: Ink) => readonly SheetLayer[];
  readonly key: readonly KeyEntry[];
};

/** True of features of a kind, for keys. */
export function isKind(kind: string): (properties: DrawnProperties) => boolean {
  return (properties) => properties.kind === kind;
}
