import type { Plan } from '#geo-core/model/plan.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import type { LocalPlaneProjection } from '#geo-core/projection/local-plane.ts';
import type { Wording } from '#geo-core/wording/wording.ts';
import type { Block, Row } from './paper.ts';
import type { References } from './reference-points.ts';
import type { SettingOutMark } from './setting-out-marks.ts';

const DEGREE_PLACES = 7;

type Context = { readonly projection: LocalPlaneProjection; readonly plan: Plan; readonly wording: Wording };

/** Every place to be set out: along the wire, by two tapes from A and B, by base line and offset, by longitude and latitude. */
export function settingOutList(
  marks: readonly SettingOutMark[],
  references: References | undefined,
  { projection, plan, wording }: Context,
): Block[] {
  const { say, length, lengthUnit } = wording;
  const titled = (title: string) => `${title}, ${lengthUnit}`;
  const measured = references === undefined ? [] : (['fromA', 'fromB', 'along', 'out'] as const);
  return [
    { kind: 'heading', text: say('crew.settingOut') },
    {
      kind: 'paragraph',
      text: say('crew.settingOutIntro', { spacing: length(plan.rules.pegSpacingM, 2) }),
      tone: 'plain',
    },
    ...(references === undefined
      ? [{ kind: 'paragraph', text: say('crew.noReferences'), tone: 'plain' } as const]
      : referenceBlocks(references, wording)),
    {
      kind: 'table',
      columns: [
        { title: say('crew.no'), share: 0.8, align: 'end' },
        { title: say('crew.what'), share: 1.2, align: 'start' },
        { title: titled(say('crew.chainage')), share: 1.3, align: 'end' },
        ...measured.map((key) => ({ title: titled(say(`crew.${key}`)), share: 1.2, align: 'end' as const })),
        { title: say('crew.lon'), share: 1.7, align: 'end' },
        { title: say('crew.lat'), share: 1.7, align: 'end' },
      ],
      rows: listRows(marks, references, { projection, plan, wording }).map(
        (row): Row =>
          typeof row === 'string'
            ? { role: 'group', cells: [row, ...Array(4 + measured.length).fill('')] }
            : { role: 'plain', cells: row },
      ),
    },
    ...(marks.length === 0 ? [{ kind: 'paragraph', text: say('proposal.nothingDrawn'), tone: 'plain' } as const] : []),
  ];
}

/** Cells of every mark; where there are several signal units, a text in front of each. */
function listRows(
  marks: readonly SettingOutMark[],
  references: References | undefined,
  context: Context,
): (readonly string[] | string)[] {
  const { say, fixed, lengthFigure } = context.wording;
  const isParted = marks.some(({ signalUnit }) => signalUnit !== marks[0].signalUnit);
  return marks.flatMap((mark, i) => {
    const isFirst = isParted && mark.signalUnit !== marks[i - 1]?.signalUnit;
    const cells = [
      mark.label,
      say(`crew.${mark.what}`),
      lengthFigure(mark.chainageM, 2),
      ...taped(mark, references, context),
      fixed(mark.position[0], DEGREE_PLACES),
      fixed(mark.position[1], DEGREE_PLACES),
    ];
    return isFirst ? [say('crew.unit', { n: mark.signalUnit }), cells] : [cells];
  });
}

function taped(
  { position }: SettingOutMark,
  references: References | undefined,
  { projection, wording }: Context,
): string[] {
  if (references === undefined) return [];
  const { a, b, baseM } = references;
  const { x, y } = projection.toPlane(position[0], position[1]);
  const [ux, uy] = [(b.x - a.x) / baseM, (b.y - a.y) / baseM];
  const [dx, dy] = [x - a.x, y - a.y];
  const figures = [distanceM(a.x, a.y, x, y), distanceM(b.x, b.y, x, y), dx * ux + dy * uy, dy * ux - dx * uy];
  return figures.map((lengthM) => wording.lengthFigure(lengthM, 2));
}

function referenceBlocks({ a, b, baseM }: References, { say, fixed, length }: Wording): Block[] {
  const place = (position: readonly [number, number]) =>
    position.map((degrees) => fixed(degrees, DEGREE_PLACES)).join('   ');
  return [
    {
      kind: 'table',
      columns: [
        { title: '', share: 0.3, align: 'start' },
        { title: say('crew.references'), share: 2.4, align: 'start' },
        { title: `${say('crew.lon')}   ${say('crew.lat')}`, share: 2, align: 'end' },
      ],
      rows: [a, b].map(
        ({ letter, name, position }): Row => ({ role: 'plain', cells: [letter, name, place(position)] }),
      ),
    },
    { kind: 'paragraph', text: say('crew.baseline', { length: length(baseM, 2) }), tone: 'plain' },
  ];
}
