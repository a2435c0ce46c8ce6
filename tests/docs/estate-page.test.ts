import { readFileSync, writeFileSync } from 'node:fs';
import Big from 'big.js';
import { beforeAll, describe, expect, it } from 'vitest';
import { planNeighbours } from '#geo-core/field/plan-neighbours.ts';
import { machineFit } from '#geo-core/machines/machine-fit.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { drawChannels } from '../support/draw-channels.ts';
import { indexOf } from '../support/estate-sites.ts';
import { useKernel } from '../support/load-kernel.ts';
import { planFixture } from '../support/plan-estate.ts';

/** `docs/estate.md` and its picture are written from the plans of the demo estate (`BLESS=1` writes them anew). */
const PAGE = new URL('../../docs/estate.md', import.meta.url);
const PICTURE = new URL('../../docs/estate.svg', import.meta.url);
const DAYS = ['', 'Mo', 'Tu', 'We', 'Th', 'Fr', 'Sa', 'Su'];
const VERDICTS = { fits: 'yes', 'fits-shared': 'several', 'does-not-fit': 'no' } as const;

type Garden = { readonly site: SiteInput; readonly plan: Plan };
type Channels = ReturnType<typeof planNeighbours>;

useKernel();

/** The formatter pads the cells of tables. */
const unpadded = (text: string): string => text.replace(/ +\|/g, ' |').replace(/\| +/g, '| ').replace(/-{3,}/g, '---');
const row = (cells: readonly (string | number)[]): string => `| ${cells.join(' | ')} |`;
const table = (head: readonly string[], rows: readonly (readonly (string | number)[])[]): string =>
  [row(head), row(head.map(() => '---')), ...rows.map(row)].join('\n');

/** Consecutive hours of one day as one span, whatever zones they are for. */
function weekOf({ schedule }: Plan): string {
  const days = new Map<number, { from: string; to: string }[]>();
  for (const { day, from, to } of schedule) {
    const spans = days.get(day) ?? [];
    const last = spans.at(-1);
    if (last?.to === from) last.to = to;
    else spans.push({ from, to });
    days.set(day, spans);
  }
  const told = [...days].map(
    ([day, spans]) => `${DAYS[day]} ${spans.map(({ from, to }) => `${from}–${to}`).join(', ')}`,
  );
  return told.length === 0 ? 'none' : told.join('; ');
}

function pageOf(gardens: readonly Garden[], { channels, pairs }: Channels): string {
  const count = gardens.length;
  const names = gardens.map(({ plan }, i) => plan.name ?? `Garden ${i + 1}`);
  const figures = gardens.map(({ plan: { summary } }, i) => [
    i + 1,
    names[i],
    summary.lawnAreaM2.toFixed(0),
    summary.routeLengthM.toFixed(0),
    summary.spoolCount,
    summary.hoursPerWeek.toFixed(1),
    channels.channelOf[i] + 1,
    `${new Big(summary.priceTotal).toFixed(2)} ${summary.currency}`,
  ]);
  const sum = (of: (plan: Plan) => number): number => gardens.reduce((total, { plan }) => total + of(plan), 0);
  const currencies = [...new Set(gardens.map(({ plan }) => plan.summary.currency))];
  const prices = currencies.map((currency) => {
    const own = gardens.filter(({ plan }) => plan.summary.currency === currency);
    return `${own.reduce((total, { plan }) => total.plus(plan.summary.priceTotal), new Big(0)).toFixed(2)} ${currency}`;
  });
  const total = [
    ...['', 'All'],
    ...[sum(({ summary }) => summary.lawnAreaM2).toFixed(0), sum(({ summary }) => summary.routeLengthM).toFixed(0)],
    ...[sum(({ summary }) => summary.spoolCount), sum(({ summary }) => summary.hoursPerWeek).toFixed(1)],
    ...[`${channels.count} used`, prices.join(' and ')],
  ];
  const fits = gardens.map(({ site }, i) => [
    i + 1,
    ...RULE_SETS.map((rules) => {
      const { verdict, reasons } = machineFit(planSite(site, rules));
      const codes = [...new Set(reasons.map(({ code }) => `\`${code}\``))];
      return [VERDICTS[verdict], ...codes].join(' ');
    }),
  ]);
  const proof = channels.proven
    ? `fewer than ${channels.count} cannot do`
    : `at least ${channels.atLeast} are needed; whether fewer than ${channels.count} do was not proven`;
  return `# The demo estate

Quillbrook Rise and its ${count} gardens are invented, and so are all prices and machine classes. This page is written from their plans by
\`tests/docs/estate-page.test.ts\`; \`BLESS=1 npx vitest run tests/docs\` writes it anew. Channels and hours are advice: the supplier of the
machine says how many channels there are, and the machine's manual comes first.

![Working areas, wires and stations of the estate, by channel](estate.svg)

## Gardens, channels and price

${table(['', 'garden', 'lawn, m²', 'wire, m', 'spools', 'h a week', 'channel', 'price'], [...figures, total])}

## Who disturbs whom

Wires nearer than the rule set's \`neighbourGapM\`, or a loop whose field on the other lawn is over \`strayFieldMaxNt\` for each ampere.
${pairs.length} pairs of gardens must not share a channel; ${channels.count} channels are used, and ${proof}.

${table(
  ['gardens', 'wire to wire, m', 'stray field, nT at 1 A'],
  pairs.map(({ between: [one, other], distanceM, strayFieldNt }) => [
    `${one + 1} and ${other + 1}`,
    distanceM.toFixed(2),
    strayFieldNt.toFixed(0),
  ]),
)}

## Schedule of the fullest week

Local clock, with charging between the hours; quiet hours, sprinklers and darkness are kept.

${table(
  ['', 'garden', 'hours'],
  gardens.map(({ plan }, i) => [i + 1, names[i], weekOf(plan)]),
)}

## Which machine fits

By the rule sets that are built in: yes, several machines, or no, with the findings that speak against one machine.

${table(['', ...RULE_SETS.map(({ name }) => name)], fits)}
`;
}

describe('the page of the demo estate', () => {
  let gardens: readonly Garden[] = [];
  let neighbours: Channels;
  beforeAll(async () => {
    gardens = await Promise.all(indexOf('estate').map((entry) => planFixture('estate', entry)));
    neighbours = planNeighbours(
      gardens.map(({ plan }) => plan),
      RULE_SETS[0],
    );
  });

  it('says what the plans say today', () => {
    const page = pageOf(gardens, neighbours);
    const picture = drawChannels(
      gardens.map(({ plan }, i) => ({ number: i + 1, channel: neighbours.channels.channelOf[i], plan })),
    );
    if (process.env.BLESS === '1') {
      writeFileSync(PAGE, page);
      writeFileSync(PICTURE, picture);
    }
    expect(unpadded(readFileSync(PAGE, 'utf8'))).toBe(unpadded(page));
    expect(readFileSync(PICTURE, 'utf8')).toBe(picture);
  });

  it('gives no two gardens that disturb each other one channel', () => {
    expect(neighbours.pairs.length).toBeGreaterThan(0);
    for (const {
      between: [one, other],
    } of neighbours.pairs) {
      expect(neighbours.channels.channelOf[one]).not.toBe(neighbours.channels.channelOf[other]);
    }
  });
});
