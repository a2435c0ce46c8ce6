import type { Plan } from '#geo-core/model/plan.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import { drawLegend } from './draw-legend.ts';
import { placedFindings } from './draw-marks.ts';
import { INK, WIDTH } from './ink.ts';
import { sans, serif, wrapped } from './lettering.ts';
import { element, type MarkUp } from './mark-up.ts';
import type { Placement } from './placement.ts';
import { FIELD, SHEET } from './sheet.ts';

const X = FIELD.x + FIELD.width;
const WIDTH_MM = SHEET.margin;
const INSET = 5;
const TITLE_HEIGHT = 49;
const NOTE_SIZE = 2.4;
const NOTE_LINE = 3.3;

/** The margin of the sheet: legend, figures, notes, cautions, and the title block at the bottom. */
export function drawMargin(plan: Plan, place: Placement): MarkUp[] {
  const left = X + INSET;
  const width = WIDTH_MM - 2 * INSET;
  const titleTop = SHEET.height - SHEET.frame - TITLE_HEIGHT;
  const legend = drawLegend(
    { plan, siteKinds: new Set() },
    { x: left, y: FIELD.y + 10.5, width, columns: 2 },
    place.wording,
  );
  const hasLegend = legend.marks.length > 0;
  const figuresTop = hasLegend ? legend.bottom + 7 : FIELD.y + 6.5;
  const sums = figures(plan, place.wording, left, figuresTop + 4.5, width);
  const cautions = listOf(
    plan.cautions.map((caution) => ({ mark: '–', words: caution })),
    width,
  );
  const cautionsTop = titleTop - 4 - cautions.length * NOTE_LINE;
  const notesTop = sums.bottom + 7;
  const room = Math.floor((cautionsTop - 11 - notesTop) / NOTE_LINE);
  return [
    rule(X, FIELD.y, X, SHEET.height - SHEET.frame, WIDTH.middle),
    ...(hasLegend ? [heading(place.wording.say('legend.title'), left, FIELD.y + 6.5), ...legend.marks] : []),
    heading('Figures', left, figuresTop),
    ...sums.marks,
    heading('Notes', left, notesTop),
    ...written(shortened(listOf(notes(plan), width), room), left, notesTop + 4.5),
    heading('Before anybody digs, lays or runs', left, cautionsTop - 4.5),
    ...written(cautions, left, cautionsTop),
    rule(X, titleTop, X + WIDTH_MM, titleTop, WIDTH.middle),
    ...titleBlock(plan, place, left, titleTop, width),
  ];
}

function heading(words: string, x: number, y: number): MarkUp {
  return serif(words, x, y, 4.2, 'start', { 'font-style': 'italic' });
}

function rule(ax: number, ay: number, bx: number, by: number, width: number): MarkUp {
  return element('path', { d: `M${ax} ${ay}L${bx} ${by}`, stroke: INK.line, 'stroke-width': width });
}

/** Two columns of what the plan comes to; nothing that is not there. */
function figures(
  { summary }: Plan,
  { length, area, fixed }: Wording,
  x: number,
  y: number,
  width: number,
): { marks: MarkUp[]; bottom: number } {
  const rows: readonly (readonly [string, number | null, (value: number) => string])[] = [
    ['Lawn', summary.lawnAreaM2, area],
    ['Working area', summary.workingAreaM2, area],
    ['Mow by hand', summary.handMowAreaM2, area],
    ['Steepest slope', summary.maxSlopePct, (value) => `${fixed(value, 1)} %`],
    ['Mowing a week', summary.hoursPerWeek, (value) => `${fixed(value, 1)} h`],
    ['Pegs', summary.pegCount, (value) => fixed(value, 0)],
    ['Route', summary.routeLengthM, length],
    ['Boundary wire', summary.boundaryLengthM, length],
    ['Keep-out loops', summary.keepOutLengthM, length],
    ['Leads, walked twice', summary.leadLengthM, length],
    ['Loop resistance', summary.resistanceOhm, (value) => `${fixed(value, 2)} Ω`],
    ['Splices', summary.spliceCount, (value) => fixed(value, 0)],
  ];
  const there = rows.flatMap(([name, value, write]) =>
    value === null || value === 0 ? [] : [{ name, value: write(value) }],
  );
  const perColumn = Math.ceil(there.length / 2);
  const column = (width - 6) / 2;
  const marks = there.flatMap(({ name, value }, i) => {
    const left = x + (i < perColumn ? 0 : column + 6);
    const top = y + (i % perColumn) * 4.2;
    return [
      sans(name, left, top, 2.5, 'start', { fill: INK.soft }),
      sans(value, left + column, top, 2.6, 'end', { 'font-weight': 600 }),
    ];
  });
  return { marks, bottom: y + perColumn * 4.2 };
}

type Item = { readonly mark: string; readonly words: string };
type Line = Item & { readonly isFirst: boolean };

/** Numbered places first, then stops and cautions without one, then notes: what and where, then what to do. */
function notes(plan: Plan): Item[] {
  const placed = placedFindings(plan);
  const isPlaced = new Set(placed.map(({ at }) => at));
  const others = plan.findings.filter(({ at }) => at === null || !isPlaced.has(at));
  const urgentFirst = [
    ...others.filter(({ severity }) => severity !== 'note'),
    ...others.filter(({ severity }) => severity === 'note'),
  ];
  return [
    ...placed.map(({ message, advice }, i) => ({ mark: String(i + 1), words: `${message} ${advice}` })),
    ...urgentFirst.map(({ severity, message, advice }) => ({
      mark: severity === 'note' ? '–' : '!',
      words: `${message} ${advice}`,
    })),
  ];
}

function listOf(items: readonly Item[], width: number): Line[] {
  return items.flatMap(({ mark, words }) =>
    wrapped(words, width - 4, NOTE_SIZE).map((line, i) => ({ mark, words: line, isFirst: i === 0 })),
  );
}

/** Whole items only; what has no room is counted. */
function shortened(lines: readonly Line[], room: number): Line[] {
  if (lines.length <= room) return [...lines];
  let end = Math.max(0, room - 1);
  while (end > 0 && !lines[end].isFirst) end--;
  const left = lines.slice(end).filter(({ isFirst }) => isFirst).length;
  return [...lines.slice(0, end), { mark: '–', words: `${left} more in the plan.`, isFirst: true }];
}

function written(lines: readonly Line[], x: number, y: number): MarkUp[] {
  return lines.flatMap(({ mark, words, isFirst }, i) => [
    ...(isFirst ? [sans(mark, x, y + i * NOTE_LINE, NOTE_SIZE, 'start', { 'font-weight': 600 })] : []),
    sans(words, x + 4, y + i * NOTE_LINE, NOTE_SIZE),
  ]);
}

function titleBlock(plan: Plan, place: Placement, x: number, top: number, width: number): MarkUp[] {
  const name = plan.name ?? 'Garden';
  const size = Math.min(9, (width / Math.max(1, name.length)) * 2.05);
  const passed = plan.audit.passed ? `passed, ${plan.audit.checks.length} checks` : 'FAILED: not a plan to lay';
  const rows = [
    ['Scale', plan.features.length === 0 ? '–' : `1 : ${place.wording.fixed(place.scale, 0)} on A3`],
    ['Rule set', plan.rules.name],
    ['Audit', passed],
    ['Plan', String(plan.id ?? '–')],
  ];
  const column = width / 2;
  return [
    serif(name, x, top + 11, size),
    serif('Boundary wire plan', x, top + 17.5, 4.2, 'start', { 'font-style': 'italic' }),
    rule(X, top + 21.5, X + WIDTH_MM, top + 21.5, WIDTH.thin),
    ...rows.flatMap(([label, value], i) => {
      const [left, y] = [x + (i % 2) * column, top + 26.4 + Math.floor(i / 2) * 7.4];
      return [
        sans(label, left, y, 2, 'start', { fill: INK.soft }),
        sans(value, left, y + 3.4, 2.7, 'start', { 'font-weight': 600 }),
      ];
    }),
    rule(X, top + 39.4, X + WIDTH_MM, top + 39.4, WIDTH.thin),
    sans('Date', x, top + 43.2, 2, 'start', { fill: INK.soft }),
    sans('Checked on site by', x + column, top + 43.2, 2, 'start', { fill: INK.soft }),
  ];
}
