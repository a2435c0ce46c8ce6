import type { Plan, PlanFeature, Position } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';

/** A place to be set out, in laying order. */
export type SettingOutMark = {
  /** As on the drawing: `S1`, `12`, `X1`. */
  readonly label: string;
  readonly what: 'station' | 'peg' | 'splice';
  readonly signalUnit: number;
  readonly chainageM: number;
  readonly position: Position;
};

const PREFIX = { station: 'S', peg: '', splice: 'X' } as const;

/** Stations, pegs of the trial lap and splices by signal unit and chainage, numbered by kind. */
export function settingOutMarks({ features }: Plan): SettingOutMark[] {
  const counts = { station: 0, peg: 0, splice: 0 };
  return features
    .flatMap((feature) => placed(feature) ?? [])
    .sort((a, b) => a.signalUnit - b.signalUnit || a.chainageM - b.chainageM)
    .map((mark) => {
      counts[mark.what] += 1;
      return { ...mark, label: `${PREFIX[mark.what]}${counts[mark.what]}` };
    });
}

function placed({ properties, geometry }: PlanFeature): Omit<SettingOutMark, 'label'> | undefined {
  const isMark =
    properties.kind === 'station' ||
    properties.kind === 'splice' ||
    (properties.kind === 'peg' && properties.pass === 'trial');
  if (!isMark) return undefined;
  const { signalUnit, chainageM, kind } = properties;
  const [position] = positionsOf(geometry);
  return { what: kind, signalUnit, chainageM, position };
}
