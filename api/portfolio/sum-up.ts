import type { PortfolioRow, PortfolioStore } from '#api/store/portfolios.ts';
import { FIT_VERDICTS, type FitVerdict } from '#geo-core/index.ts';
import type { PlanSummary } from '#geo-core/model/plan.ts';

/** Figures of a plan that are added up and spread out over a portfolio. */
export const FIGURES = [
  'lawnAreaM2',
  'workingAreaM2',
  'routeLengthM',
  'boundaryLengthM',
  'keepOutLengthM',
  'leadLengthM',
  'zoneCount',
  'reachableAreaM2',
  'narrowPassageAreaM2',
  'isolatedAreaM2',
  'handMowAreaM2',
  'maxSlopePct',
  'resistanceOhm',
  'hoursPerWeek',
  'pegCount',
  'spliceCount',
  'spoolCount',
  'priceTotal',
] as const satisfies readonly (keyof PlanSummary)[];
type Figure = (typeof FIGURES)[number];

/** A sum says nothing of these. */
const NO_SUMS = new Set<Figure>(['maxSlopePct', 'resistanceOhm', 'priceTotal']);
/** Rows that quantiles are taken from: every second, fourth, eighth one as they become more. */
const SAMPLE_MAX = 20_000;

type Spread = {
  readonly least: number;
  readonly p10: number;
  readonly median: number;
  readonly p90: number;
  readonly most: number;
};
type OptionSummary = {
  readonly rules: string;
  readonly planned: number;
  readonly refused: number;
  /** Planned without a finding that says stop. */
  readonly fit: number;
  /** How many sites one machine of this class keeps, how many several do, and how many none does. */
  readonly machines: Readonly<Record<FitVerdict, number>>;
  /** What speaks against one machine, the most frequent first. */
  readonly againstMachine: readonly { readonly code: string; readonly sites: number }[];
  readonly totals: Readonly<Partial<Record<Figure, number>>>;
  readonly price: readonly { readonly currency: string; readonly total: number }[];
  readonly spreads: Readonly<Partial<Record<Figure, Spread>>>;
  /** Plans that the spreads were taken from. */
  readonly sampled: number;
  readonly refusals: readonly { readonly code: string; readonly sites: number }[];
  readonly stops: readonly { readonly code: string; readonly sites: number }[];
};
export type PortfolioSummary = {
  readonly plans: number;
  readonly done: number;
  readonly options: readonly OptionSummary[];
};

/** What is done of a portfolio so far, added up by rule set; in memory that does not grow with it. */
export async function sumUp(portfolios: PortfolioStore, jobId: string): Promise<PortfolioSummary> {
  const state = await portfolios.state(jobId);
  const sums = (state?.options ?? []).map(({ name }) => optionSum(name));
  for await (const row of portfolios.scan(jobId)) sums[row.option].take(row);
  return { plans: state?.total ?? 0, done: state?.done ?? 0, options: sums.map((sum) => sum.summary()) };
}

function optionSum(rules: string) {
  let [planned, refused, fit, stride] = [0, 0, 0, 1];
  const totals = new Map<Figure, number>();
  const prices = new Map<string, number>();
  const [refusals, stops] = [new Map<string, number>(), new Map<string, number>()];
  const machines = new Map<FitVerdict, number>();
  const against = new Map<string, number>();
  let sample: PlanSummary[] = [];
  return {
    take({ figures, code }: PortfolioRow): void {
      if (figures === null) {
        refused++;
        add(refusals, code ?? 'internal', 1);
        return;
      }
      const { summary } = figures;
      if (planned % stride === 0) sample.push(summary);
      if (sample.length > SAMPLE_MAX) {
        sample = sample.filter((_, i) => i % 2 === 0);
        stride *= 2;
      }
      planned++;
      if (figures.stops.length === 0) fit++;
      for (const stop of figures.stops) add(stops, stop, 1);
      if (figures.machine !== undefined) add(machines, figures.machine.verdict, 1);
      for (const reason of figures.machine?.reasons ?? []) add(against, reason, 1);
      for (const figure of FIGURES) if (!NO_SUMS.has(figure)) add(totals, figure, summary[figure] ?? 0);
      add(prices, summary.currency, summary.priceTotal);
    },
    summary: (): OptionSummary => ({
      rules,
      planned,
      refused,
      fit,
      machines: counts(machines),
      againstMachine: ranked(against),
      totals: Object.fromEntries([...totals].map(([figure, total]) => [figure, rounded(total)])),
      price: [...prices].map(([currency, total]) => ({ currency, total: Math.round(100 * total) / 100 })),
      spreads: Object.fromEntries(
        FIGURES.flatMap((figure) => {
          const spread = spreadOf(sample.flatMap((summary) => summary[figure] ?? []));
          return spread === undefined ? [] : [[figure, spread]];
        }),
      ),
      sampled: sample.length,
      refusals: ranked(refusals),
      stops: ranked(stops),
    }),
  };
}

function counts(of: ReadonlyMap<FitVerdict, number>): Record<FitVerdict, number> {
  const [fits, shared, not] = FIT_VERDICTS.map((verdict) => of.get(verdict) ?? 0);
  return { fits, 'fits-shared': shared, 'does-not-fit': not };
}

function add<Key>(counts: Map<Key, number>, key: Key, value: number): void {
  counts.set(key, (counts.get(key) ?? 0) + value);
}

/** Nearest rank. */
function spreadOf(values: readonly number[]): Spread | undefined {
  if (values.length === 0) return undefined;
  const sorted = values.toSorted((a, b) => a - b);
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { least: at(0), p10: at(0.1), median: at(0.5), p90: at(0.9), most: at(1) };
}

function rounded(value: number): number {
  return Math.round(1000 * value) / 1000;
}

function ranked(counts: ReadonlyMap<string, number>) {
  return [...counts]
    .map(([code, sites]) => ({ code, sites }))
    .toSorted((a, b) => b.sites - a.sites || (a.code < b.code ? -1 : 1));
}
