import { placedFindings } from '#geo-core/formats/drawing/draw-marks.ts';
import { CAUTIONS } from '#geo-core/model/cautions.ts';
import type { Plan, PlanFinding } from '#geo-core/model/plan.ts';
import { HAND_MOW_CAUSES } from '#geo-core/model/plane-plan.ts';
import type { QuietHours } from '#geo-core/model/site.ts';
import type { MessageKey } from '#geo-core/wording/en.ts';
import { gardenDrawing } from './garden-drawing.ts';
import type { Handover } from './handover.ts';
import { isMessage } from './item-words.ts';
import { type Block, type Fact, type ListItem, MARGIN_MM, type Paper, type Row, SHEET_MM } from './paper.ts';
import { dayAfter, type PaperFrame, paperFrame } from './paper-frame.ts';
import { priceBlocks } from './price-blocks.ts';
import { weekRows } from './week-rows.ts';

const VALID_DAYS = 30;
/** What the title and the figures leave of the first page, millimetres. */
const AROUND_DRAWING_MM = 92;

/** The customer's document. */
export function proposal(handover: Handover): Paper {
  const frame = paperFrame(handover);
  const { plan, details } = handover;
  const { say, date } = frame.wording;
  const asked = dayAfter(frame.isoDate, details.validDays ?? VALID_DAYS);
  // A proposal never outlives the price book that it was made with.
  const [validUntil] = [asked, plan.takeoff.priceBook.validUntil ?? asked].sort();
  const page = SHEET_MM[frame.sheet];
  const drawing = gardenDrawing(handover, frame, {
    widthMm: page.width - 2 * MARGIN_MM.upright,
    heightMaxMm: page.height - 2 * MARGIN_MM.upright - AROUND_DRAWING_MM,
  });
  const blocks: readonly (readonly Block[])[] = [
    [{ kind: 'title', over: say('proposal.title'), title: frame.siteName, under: say('proposal.subtitle') }],
    [{ kind: 'facts', facts: addressFacts(handover, frame, validUntil) }],
    notReady(plan, frame),
    [drawing],
    [{ kind: 'figures', facts: mainFigures(plan, frame) }],
    [{ kind: 'break' }],
    included(plan, frame),
    optionTable(handover, frame),
    priceBlocks(plan, frame.wording, date(validUntil)),
    hours(handover, frame),
    handMow(plan, frame),
    prepare(plan, frame),
    notes(plan, frame),
    cautions(plan, frame),
    acceptance(handover, frame),
  ];
  return {
    ...frame,
    title: `${say('proposal.title')}: ${frame.siteName}`,
    runningHead: `${frame.firm.name} · ${say('proposal.title')} · ${frame.siteName}`,
    blocks: blocks.flat(),
  };
}

function addressFacts({ details }: Handover, { wording, isoDate, siteName }: PaperFrame, validUntil: string): Fact[] {
  const { say, date } = wording;
  const { customer, number } = details;
  return [
    { name: say('proposal.for'), value: [customer?.name ?? siteName, ...(customer?.lines ?? [])].join('\n') },
    { name: say('title.date'), value: date(isoDate) },
    { name: say('proposal.validUntil'), value: date(validUntil) },
    ...(number === undefined ? [] : [{ name: say('proposal.number'), value: number }]),
  ];
}

function isReady({ audit, findings }: Plan): boolean {
  return audit.passed && findings.every(({ severity }) => severity !== 'stop');
}

function notReady(plan: Plan, { wording: { say } }: PaperFrame): Block[] {
  if (isReady(plan)) return [];
  return [{ kind: 'paragraph', text: `${say('proposal.stopTitle')}. ${say('proposal.stop')}`, tone: 'alert' }];
}

function mainFigures({ summary }: Plan, { wording }: PaperFrame): Fact[] {
  const { say, area, length, hours: inHours, money } = wording;
  return [
    { name: say('figure.lawn'), value: area(summary.lawnAreaM2, 0) },
    { name: say('figure.wire'), value: length(summary.routeLengthM, 0) },
    { name: say('figure.hoursPerWeek'), value: inHours(summary.hoursPerWeek) },
    { name: say('figure.handMow'), value: area(summary.handMowAreaM2, 0) },
    { name: say('figure.price'), value: money(summary.priceTotal, summary.currency) },
  ];
}

function included(plan: Plan, { wording }: PaperFrame): Block[] {
  const { say, length, area, number } = wording;
  const count = (kind: string) => plan.features.filter(({ properties }) => properties.kind === kind).length;
  const keepOuts = count('keep-out-loop');
  const cable = plan.takeoff.lines.find(({ code }) => code === 'supply-cable');
  const units = plan.takeoff.lines.find(({ code }) => code === 'signal-unit')?.quantity ?? 0;
  const { routeLengthM, lawnAreaM2 } = plan.summary;
  const items = [
    say('included.wire', { length: length(routeLengthM, 0), area: area(lawnAreaM2, 0) }),
    ...(keepOuts === 0 ? [] : [say(keepOuts === 1 ? 'included.keepOutOne' : 'included.keepOuts', { n: keepOuts })]),
    ...(count('station') === 0 ? [] : [say('included.station')]),
    ...(cable === undefined ? [] : [say('included.cable', { length: length(cable.quantity) })]),
    ...(units === 0
      ? []
      : [say(units === 1 ? 'included.signalUnitOne' : 'included.signalUnits', { n: number(units) })]),
    say('included.commissioning'),
    say('included.record'),
    say('included.notMachine'),
  ];
  return [
    { kind: 'heading', text: say('included.title') },
    { kind: 'list', mark: 'dash', items: items.map((text) => ({ text })) },
  ];
}

function optionTable({ plan, options }: Handover, { wording }: PaperFrame): Block[] {
  if (options.length === 0) return [];
  const { say, area, length, hours: inHours, money } = wording;
  const plans = [{ name: plan.rules.name, plan }, ...options];
  const row = (key: MessageKey, value: (plan: Plan) => string): Row => ({
    cells: [say(key), ...plans.map((each) => value(each.plan))],
    role: 'plain',
  });
  return [
    { kind: 'heading', text: say('options.title') },
    {
      kind: 'table',
      columns: [
        { title: say('options.option'), share: 1.2, align: 'start' },
        ...plans.map(({ name }) => ({ title: name, share: 1, align: 'end' as const })),
      ],
      rows: [
        row('figure.workingArea', ({ summary }) => area(summary.workingAreaM2)),
        row('figure.handMow', ({ summary }) => area(summary.handMowAreaM2)),
        row('figure.wire', ({ summary }) => length(summary.routeLengthM)),
        row('figure.hoursPerWeek', ({ summary }) => inHours(summary.hoursPerWeek)),
        {
          ...row('figure.price', (each) =>
            isReady(each) ? money(each.summary.priceTotal, each.summary.currency) : say('options.stops'),
          ),
          role: 'total',
        },
      ],
    },
  ];
}

function hours({ plan, site }: Handover, { wording }: PaperFrame): Block[] {
  const { say, hours: inHours } = wording;
  const columns = [
    { title: say('hours.zone'), share: 1, align: 'start' },
    { title: say('hours.days'), share: 2, align: 'start' },
    { title: say('hours.time'), share: 1.4, align: 'start' },
  ] as const;
  const week = weekRows(plan, wording);
  const quiet = site.quiet ?? [];
  return [
    { kind: 'heading', text: say('hours.title') },
    {
      kind: 'paragraph',
      tone: 'plain',
      text: week.length === 0 ? say('hours.none') : say('hours.intro', { hours: inHours(plan.summary.hoursPerWeek) }),
    },
    ...(week.length === 0 ? [] : [{ kind: 'table', columns, rows: week } as const]),
    { kind: 'paragraph', tone: 'plain', text: say(quiet.length === 0 ? 'hours.noQuiet' : 'hours.quiet') },
    ...(quiet.length === 0
      ? []
      : [{ kind: 'list', mark: 'dash', items: quiet.map((each) => ({ text: quietWords(each, wording) })) } as const]),
  ];
}

function quietWords({ days, from, to }: QuietHours, wording: PaperFrame['wording']): string {
  return `${wording.days(days)}, ${from}–${to}`;
}

function handMow(plan: Plan, { wording }: PaperFrame): Block[] {
  const { say, area } = wording;
  const patches = plan.features.flatMap(({ properties }) => (properties.kind === 'hand-mow' ? [properties] : []));
  const heading = { kind: 'heading', text: say('handMow.title') } as const;
  if (patches.length === 0) return [heading, { kind: 'paragraph', text: say('handMow.none'), tone: 'plain' }];
  const rows = HAND_MOW_CAUSES.flatMap((cause): Row[] => {
    const own = patches.filter((patch) => patch.cause === cause);
    const sumM2 = own.reduce((sum, { areaM2 }) => sum + areaM2, 0);
    const key = `handMow.${cause}`;
    const words = say(isMessage(key) ? key : 'handMow.other');
    return own.length === 0 ? [] : [{ role: 'plain', cells: [words, String(own.length), area(sumM2)] }];
  });
  return [
    heading,
    { kind: 'paragraph', text: say('handMow.intro', { area: area(plan.summary.handMowAreaM2) }), tone: 'plain' },
    {
      kind: 'table',
      columns: [
        { title: say('handMow.where'), share: 5, align: 'start' },
        { title: say('handMow.places'), share: 1, align: 'end' },
        { title: say('handMow.area'), share: 1.4, align: 'end' },
      ],
      rows,
    },
  ];
}

function prepare({ rules }: Plan, { wording }: PaperFrame): Block[] {
  const { say, length } = wording;
  const items = [
    say('prepare.outlet', { length: length(rules.supplyCableMaxM, 0) }),
    say('prepare.services'),
    say('prepare.mow'),
    say('prepare.clear'),
    say('prepare.access'),
    say('prepare.network'),
  ];
  return [
    { kind: 'heading', text: say('prepare.title') },
    { kind: 'list', mark: 'box', items: items.map((text) => ({ text })) },
  ];
}

/** Stops and cautions, those with a place on the drawing by its numbers. Their texts are English. */
function notes(plan: Plan, { wording }: PaperFrame): Block[] {
  const { say, language } = wording;
  const placed = placedFindings(plan);
  const others = plan.findings.filter(
    ({ severity, code }) => severity !== 'note' && code !== 'take-off.example-prices',
  );
  const unplaced = others.filter(({ at }) => at === null);
  const item = ({ message, advice }: PlanFinding, number?: string): ListItem => ({
    text: message,
    soft: advice,
    language: 'en',
    ...(number !== undefined && { number }),
  });
  const items = [
    ...placed.map((finding, i) => item(finding, String(i + 1))),
    ...unplaced.map((finding) => item(finding, finding.severity === 'stop' ? '!' : undefined)),
  ];
  const isEnglish = language === 'en';
  return [
    { kind: 'heading', text: say('notes.title') },
    ...(items.length === 0 || isEnglish
      ? []
      : [{ kind: 'paragraph', text: say('notes.english'), tone: 'soft' } as const]),
    items.length === 0
      ? { kind: 'paragraph', text: say('notes.none'), tone: 'plain' }
      : { kind: 'list', mark: 'dash', items },
  ];
}

/** The plan's own cautions, in the paper's language where they are the built-in ones. */
function cautions(plan: Plan, { wording: { say } }: PaperFrame): Block[] {
  const items = plan.cautions.map((caution): ListItem => {
    const key = `caution.${CAUTIONS.indexOf(caution)}`;
    return isMessage(key) ? { text: say(key) } : { text: caution, language: 'en' };
  });
  return [
    { kind: 'heading', text: say('cautions.title') },
    { kind: 'list', mark: 'dash', items: items.map((item) => ({ ...item, isSmall: true })) },
  ];
}

function acceptance({ plan, options }: Handover, { wording, isoDate }: PaperFrame): Block[] {
  if (!isReady(plan)) return [];
  const { say, date, money } = wording;
  const { priceTotal, currency } = plan.summary;
  return [
    { kind: 'heading', text: say('accept.title') },
    {
      kind: 'paragraph',
      tone: 'plain',
      text: say('accept.text', { date: date(isoDate), price: money(priceTotal, currency) }),
    },
    {
      kind: 'signatures',
      labels: [
        ...(options.length > 0 ? [say('accept.option')] : []),
        say('accept.place'),
        say('accept.customer'),
        say('accept.firm'),
      ],
    },
  ];
}
