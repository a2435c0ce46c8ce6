import type { Plan, PlanKind } from '#geo-core/model/plan.ts';
import { placedFindings } from './draw-marks.ts';
import { INK, WIDTH } from './ink.ts';
import { sans } from './lettering.ts';
import { element, type MarkUp } from './mark-up.ts';

const SAMPLE = { width: 11, height: 4.6 };

type Entry = { readonly words: string; readonly isThere: (plan: Plan) => boolean; readonly sample: MarkUp };

const has = (kind: PlanKind) => (plan: Plan) => plan.features.some((feature) => feature.properties.kind === kind);
const stroke = (d: string, width: number, more = {}) =>
  element('path', { d, fill: 'none', stroke: INK.line, 'stroke-width': width, ...more });
const wash = (fill: string, hatch: string, rim: string = INK.soft) =>
  [
    element('rect', { ...SAMPLE, fill }),
    element('rect', { ...SAMPLE, fill: `url(#${hatch})`, stroke: rim, 'stroke-width': WIDTH.thin }),
  ].join('');
const middle = SAMPLE.height / 2;

/** Every sign that a sheet can hold, in the order of the list. */
const ENTRIES: readonly Entry[] = [
  {
    words: 'wire, laying direction',
    isThere: has('route'),
    sample:
      stroke(`M0 ${middle}H11`, WIDTH.thick) + stroke(`M4.4 ${middle - 1.05}L6.8 ${middle}L4.4 ${middle + 1.05}`, 0.4),
  },
  {
    words: 'metres from the station',
    isThere: has('route'),
    sample: stroke(`M0 ${middle}H11`, WIDTH.thick) + stroke(`M5.5 ${middle - 1}V${middle + 1.6}`, WIDTH.middle),
  },
  {
    words: 'lead, two wires',
    isThere: has('lead'),
    sample: stroke(`M0 ${middle - 0.45}H11M0 ${middle + 0.45}H11`, 0.25),
  },
  { words: 'working area', isThere: has('working-area'), sample: wash(INK.lawn, 'grass', INK.lawnRim) },
  {
    words: 'keep-out or bay',
    isThere: (plan) => has('keep-out-loop')(plan) || has('bay')(plan),
    sample: wash(INK.keepOut, 'cross'),
  },
  { words: 'mow by hand', isThere: has('hand-mow'), sample: wash(INK.handMow, 'strokes', INK.faint) },
  { words: 'steep ground', isThere: has('steep'), sample: wash('none', 'slopes') },
  { words: 'weak signal', isThere: has('weak-signal'), sample: wash('none', 'dots') },
  {
    words: 'limit between zones',
    isThere: ({ features }) => features.filter((feature) => feature.properties.kind === 'zone').length > 1,
    sample: stroke(`M0 ${middle}H11`, WIDTH.middle, { 'stroke-dasharray': '6 1.5', stroke: INK.soft }),
  },
  {
    words: 'clear width of a passage',
    isThere: has('passage'),
    sample: stroke(
      `M0.3 ${middle}H10.7M2.6 ${middle - 0.7}L0.3 ${middle}L2.6 ${middle + 0.7}M8.4 ${middle - 0.7}L10.7 ${middle}L8.4 ${middle + 0.7}`,
      WIDTH.thin,
    ),
  },
  {
    words: 'charging station',
    isThere: has('station'),
    sample:
      element('rect', { x: 3.6, y: 0.2, width: 3.8, height: 4.2, rx: 0.8, fill: INK.line }) +
      stroke(`M4.6 ${middle + 0.7}L5.5 ${middle - 1}L6.4 ${middle + 0.7}`, 0.45, { stroke: INK.paper }),
  },
  {
    words: 'supply cable, outlet',
    isThere: has('supply-cable'),
    sample: stroke(`M0 ${middle}H11`, WIDTH.middle, { 'stroke-dasharray': '4 1.2 0.3 1.2' }),
  },
  {
    words: 'splice',
    isThere: has('splice'),
    sample: element('path', {
      d: `M5.5 ${middle - 1.5}L7 ${middle}L5.5 ${middle + 1.5}L4 ${middle}Z`,
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
    }),
  },
  {
    words: 'peg of the trial lap',
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
    words: 'place of a note',
    isThere: (plan) => placedFindings(plan).length > 0,
    sample: element('path', {
      d: 'M5.5 4.4L3.2 0.4H7.8Z',
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
      'stroke-linejoin': 'round',
    }),
  },
];

/** The signs that are on this sheet, in two columns from (x, y) down; `bottom` is where they end. */
export function drawLegend(plan: Plan, x: number, y: number, width: number): { marks: MarkUp[]; bottom: number } {
  const entries = ENTRIES.filter((entry) => entry.isThere(plan));
  const rows = Math.ceil(entries.length / 2);
  const marks = entries.map(({ words, sample }, i) => {
    const [left, top] = [x + (i < rows ? 0 : width / 2), y + (i % Math.max(1, rows)) * 6.4];
    return element(
      'g',
      { transform: `translate(${left} ${top})` },
      sample,
      sans(words, SAMPLE.width + 2.2, middle + 0.9, 2.4),
    );
  });
  return { marks, bottom: y + rows * 6.4 };
}
