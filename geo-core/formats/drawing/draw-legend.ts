import type { Plan, PlanKind } from '#geo-core/model/plan.ts';
import type { MessageKey } from '#geo-core/wording/en.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { placedFindings } from './draw-marks.ts';
import { INK, WIDTH } from './ink.ts';
import { sans } from './lettering.ts';
import { element, group, type MarkUp } from './mark-up.ts';

const SAMPLE = { width: 11, height: 4.6 };

/** What is on a sheet: a plan, and the kinds of ground drawn as given. */
export type Drawn = { readonly plan: Plan; readonly siteKinds: ReadonlySet<string> };

type Entry = { readonly words: MessageKey; readonly isThere: (drawn: Drawn) => boolean; readonly sample: MarkUp };

const has =
  (kind: PlanKind) =>
  ({ plan }: Drawn) =>
    plan.features.some((feature) => feature.properties.kind === kind);
const given =
  (...kinds: readonly string[]) =>
  ({ siteKinds }: Drawn) =>
    kinds.some((kind) => siteKinds.has(kind));
const stroke = (d: string, width: number, more = {}) =>
  element('path', { d, fill: 'none', stroke: INK.line, 'stroke-width': width, ...more });
const wash = (fill: string, hatch: string, rim: string = INK.soft) =>
  group(
    element('rect', { ...SAMPLE, fill }),
    element('rect', { ...SAMPLE, fill: `url(#${hatch})`, stroke: rim, 'stroke-width': WIDTH.thin }),
  );
const middle = SAMPLE.height / 2;

/** Every sign that a sheet can hold, in the order of the list. */
const ENTRIES: readonly Entry[] = [
  {
    words: 'legend.wire',
    isThere: has('route'),
    sample: group(
      stroke(`M0 ${middle}H11`, WIDTH.thick),
      stroke(`M4.4 ${middle - 1.05}L6.8 ${middle}L4.4 ${middle + 1.05}`, 0.4),
    ),
  },
  {
    words: 'legend.chainage',
    isThere: has('route'),
    sample: group(stroke(`M0 ${middle}H11`, WIDTH.thick), stroke(`M5.5 ${middle - 1}V${middle + 1.6}`, WIDTH.middle)),
  },
  {
    words: 'legend.lead',
    isThere: has('lead'),
    sample: stroke(`M0 ${middle - 0.45}H11M0 ${middle + 0.45}H11`, 0.25),
  },
  { words: 'legend.workingArea', isThere: has('working-area'), sample: wash(INK.lawn, 'grass', INK.lawnRim) },
  {
    words: 'legend.keepOut',
    isThere: (drawn) => has('keep-out-loop')(drawn) || has('bay')(drawn),
    sample: wash(INK.keepOut, 'cross'),
  },
  { words: 'legend.handMow', isThere: has('hand-mow'), sample: wash(INK.handMow, 'strokes', INK.faint) },
  { words: 'legend.steep', isThere: has('steep'), sample: wash('none', 'slopes') },
  { words: 'legend.weakSignal', isThere: has('weak-signal'), sample: wash('none', 'dots') },
  {
    words: 'legend.zoneLimit',
    isThere: ({ plan }) => plan.features.filter((feature) => feature.properties.kind === 'zone').length > 1,
    sample: stroke(`M0 ${middle}H11`, WIDTH.middle, { 'stroke-dasharray': '6 1.5', stroke: INK.soft }),
  },
  {
    words: 'legend.passage',
    isThere: has('passage'),
    sample: stroke(
      `M0.3 ${middle}H10.7M2.6 ${middle - 0.7}L0.3 ${middle}L2.6 ${middle + 0.7}M8.4 ${middle - 0.7}L10.7 ${middle}L8.4 ${middle + 0.7}`,
      WIDTH.thin,
    ),
  },
  {
    words: 'legend.station',
    isThere: has('station'),
    sample: group(
      element('rect', { x: 3.6, y: 0.2, width: 3.8, height: 4.2, rx: 0.8, fill: INK.line }),
      stroke(`M4.6 ${middle + 0.7}L5.5 ${middle - 1}L6.4 ${middle + 0.7}`, 0.45, { stroke: INK.paper }),
    ),
  },
  {
    words: 'legend.cable',
    isThere: has('supply-cable'),
    sample: stroke(`M0 ${middle}H11`, WIDTH.middle, { 'stroke-dasharray': '4 1.2 0.3 1.2' }),
  },
  {
    words: 'legend.splice',
    isThere: has('splice'),
    sample: element('path', {
      d: `M5.5 ${middle - 1.5}L7 ${middle}L5.5 ${middle + 1.5}L4 ${middle}Z`,
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
    }),
  },
  {
    words: 'legend.peg',
    isThere: has('peg'),
    sample: element('circle', {
      cx: 5.5,
      cy: middle,
      r: 0.6,
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.thin,
    }),
  },
  {
    words: 'legend.note',
    isThere: ({ plan }) => placedFindings(plan).length > 0,
    sample: element('path', {
      d: 'M5.5 4.4L3.2 0.4H7.8Z',
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
      'stroke-linejoin': 'round',
    }),
  },
  { words: 'legend.building', isThere: given('building'), sample: wash(INK.building, 'poche', INK.line) },
  { words: 'legend.paving', isThere: given('paving', 'crossing'), sample: wash(INK.paving, 'bond') },
  { words: 'legend.water', isThere: given('water'), sample: wash(INK.water, 'waves') },
  { words: 'legend.planting', isThere: given('planting', 'tree'), sample: wash(INK.planting, 'stipple') },
  {
    words: 'legend.parcel',
    isThere: given('parcel'),
    sample: stroke(`M0 ${middle}H11`, WIDTH.middle, { 'stroke-dasharray': '4.4 1.2 0.4 1.2' }),
  },
];

export type LegendFrame = {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly columns: number;
};

const ROW_MM = 6.4;

/** The signs that are on this sheet, in columns from (x, y) down; `bottom` is where they end. */
export function drawLegend(
  drawn: Drawn,
  { x, y, width, columns }: LegendFrame,
  { say }: Wording,
): { marks: MarkUp[]; bottom: number } {
  const entries = ENTRIES.filter((entry) => entry.isThere(drawn));
  const rows = Math.ceil(entries.length / columns);
  const marks = entries.map(({ words, sample }, i) => {
    const [left, top] = [
      x + (Math.floor(i / Math.max(1, rows)) * width) / columns,
      y + (i % Math.max(1, rows)) * ROW_MM,
    ];
    return element(
      'g',
      { transform: `translate(${left} ${top})` },
      sample,
      sans(say(words), SAMPLE.width + 2.2, middle + 0.9, 2.4),
    );
  });
  return { marks, bottom: y + rows * ROW_MM };
}
