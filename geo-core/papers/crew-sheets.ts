import { CONNECTIVITY_WORDS } from '#geo-core/formats/drawing/draw-marks.ts';
import { INK } from '#geo-core/formats/drawing/ink.ts';
import { haloed, sans } from '#geo-core/formats/drawing/lettering.ts';
import { element, type MarkUp } from '#geo-core/formats/drawing/mark-up.ts';
import type { Placement } from '#geo-core/formats/drawing/placement.ts';
import { planPlane } from '#geo-core/formats/plan-plane.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { commissioning } from './commissioning.ts';
import { gardenDrawing } from './garden-drawing.ts';
import type { Handover } from './handover.ts';
import { loadingList } from './loading-list.ts';
import { type Block, MARGIN_MM, type Paper, type Row, SHEET_MM } from './paper.ts';
import { type PaperFrame, paperFrame } from './paper-frame.ts';
import { referencePoints } from './reference-points.ts';
import { type SettingOutDrawings, settingOutDrawings } from './setting-out-drawings.ts';
import { settingOutList } from './setting-out-list.ts';
import { settingOutMarks } from './setting-out-marks.ts';
import { weekRows } from './week-rows.ts';

/** What title and figures leave of the first page, millimetres. */
const AROUND_DRAWING_MM = 88;

/** What the crew works by: overview, machine values, loading list, setting-out list and drawings, commissioning sheet. */
export function crewSheets(handover: Handover): Paper {
  const frame = paperFrame(handover);
  const { plan, site, details } = handover;
  const { say, date } = frame.wording;
  const projection = localPlaneProjection(planPlane(plan));
  const marks = settingOutMarks(plan);
  const references = referencePoints(site.features, plan.features, projection, frame.wording);
  const drawings = settingOutDrawings(handover, frame, marks, references);
  const page = SHEET_MM[frame.sheet];
  const overview = gardenDrawing(
    handover,
    frame,
    {
      widthMm: page.width - 2 * MARGIN_MM.upright,
      heightMaxMm: page.height - 2 * MARGIN_MM.upright - AROUND_DRAWING_MM,
    },
    (place) => sheetOutlines(drawings, place),
  );
  const isStopped = !plan.audit.passed || plan.findings.some(({ severity }) => severity === 'stop');
  const blocks: readonly (readonly Block[])[] = [
    [{ kind: 'title', over: say('crew.title'), title: frame.siteName, under: say('proposal.subtitle') }],
    [
      {
        kind: 'facts',
        facts: [
          {
            name: say('title.site'),
            value: [details.customer?.name ?? frame.siteName, ...(details.customer?.lines ?? [])].join('\n'),
          },
          { name: say('title.date'), value: date(frame.isoDate) },
          { name: say('title.ruleSet'), value: plan.rules.name },
        ],
      },
    ],
    isStopped ? [{ kind: 'paragraph', text: say('crew.failed'), tone: 'alert' }] : [],
    [{ kind: 'paragraph', text: say('crew.intro'), tone: 'plain' }],
    [overview, { kind: 'break' }],
    machine(handover, frame),
    loadingList(plan, frame.wording),
    [{ kind: 'break' }],
    settingOutList(marks, references, { projection, plan, wording: frame.wording }),
    drawings.sheets,
    [{ kind: 'break' }],
    commissioning(plan, frame.wording),
  ];
  return {
    ...frame,
    title: `${say('crew.title')}: ${frame.siteName}`,
    runningHead: `${frame.firm.name} · ${say('crew.title')} · ${frame.siteName}`,
    blocks: blocks.flat(),
  };
}

/** Where the setting-out sheets lie, by their numbers. */
function sheetOutlines({ tiles, tileSize, place: own }: SettingOutDrawings, place: Placement): MarkUp[] {
  if (tiles.length < 2) return [];
  // Both drawings have north up and the same plane: one is the other, scaled and moved.
  const ratio = place.mmPerM / own.mmPerM;
  const [ownX, ownY] = own.point(own.origin);
  const [x0, y0] = place.point(own.origin);
  return tiles.flatMap(({ x, y }, i) => {
    const [left, top] = [x0 + (x - ownX) * ratio, y0 + (y - ownY) * ratio];
    return [
      element('rect', {
        x: left,
        y: top,
        width: tileSize.width * ratio,
        height: tileSize.height * ratio,
        fill: 'none',
        stroke: INK.soft,
        'stroke-width': 0.25,
        'stroke-dasharray': '3 1',
      }),
      sans(String(i + 1), left + 2, top + 5, 4, 'start', { ...haloed(INK.paper), 'font-weight': 600 }),
    ];
  });
}

/** Values that are set on the machine: zones, share, days, hours; cutting heights to be filled in. */
function machine({ plan }: Handover, { wording }: PaperFrame): Block[] {
  const { say, area, percent } = wording;
  const zones = plan.features.flatMap(({ id, properties }): Row[] =>
    properties.kind === 'zone'
      ? [
          {
            role: 'plain',
            cells: [
              say('mark.zone', { n: id.replace(/^zone-/, '') }),
              area(properties.areaM2),
              percent(Math.round(properties.sharePct)),
              say(CONNECTIVITY_WORDS[properties.connectivity]),
            ],
          },
        ]
      : [],
  );
  const week = weekRows(plan, wording);
  return [
    { kind: 'heading', text: say('crew.machine') },
    { kind: 'paragraph', text: say('crew.machineIntro'), tone: 'soft' },
    {
      kind: 'table',
      columns: [
        { title: say('hours.zone'), share: 1, align: 'start' },
        { title: say('crew.area'), share: 1, align: 'end' },
        { title: say('crew.share'), share: 1, align: 'end' },
        { title: say('crew.way'), share: 2, align: 'start' },
      ],
      rows: zones,
    },
    {
      kind: 'table',
      columns: [
        { title: say('hours.zone'), share: 1, align: 'start' },
        { title: say('hours.days'), share: 2, align: 'start' },
        { title: say('hours.time'), share: 2, align: 'start' },
      ],
      rows: week,
    },
    { kind: 'paragraph', text: say('crew.cutting'), tone: 'plain' },
    {
      kind: 'table',
      columns: [
        { title: '', share: 2, align: 'start' },
        { title: say('crew.cuttingSet'), share: 2, align: 'start' },
        { title: say('title.date'), share: 2, align: 'start' },
      ],
      rows: (['crew.seasonSpring', 'crew.seasonSummer', 'crew.seasonAutumn'] as const).map(
        (season): Row => ({ role: 'plain', cells: [say(season), '', ''] }),
      ),
    },
  ];
}
