import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { STAGE_IDS } from '#geo-core/plan-site.ts';
import { gardenOfSize } from './bench-gardens.ts';
import { growthExponent, milliseconds, seededRandom, table } from './statistics.ts';
import { medianTimes, type PlanTimes, timedPlan } from './timed-plan.ts';

/** Whole plans and stages by size of the lawn and by number of keep-outs, with the exponents at which they grow. */

type SizeClass = {
  readonly vertices: number;
  readonly keepOuts: number;
  readonly sites: number;
  readonly rounds: number;
};

const SIZES: readonly SizeClass[] = [
  { vertices: 20, keepOuts: 0, sites: 20, rounds: 9 },
  { vertices: 100, keepOuts: 5, sites: 12, rounds: 7 },
  { vertices: 400, keepOuts: 15, sites: 6, rounds: 5 },
  { vertices: 2000, keepOuts: 30, sites: 3, rounds: 3 },
  { vertices: 10_000, keepOuts: 60, sites: 1, rounds: 3 },
];
/** Smaller lawns are mostly fixed cost: the fit begins here. */
const FIT_FROM_VERTICES = 100;
const CROWDS = [0, 5, 15, 30, 60].map((keepOuts): SizeClass => ({ vertices: 400, keepOuts, sites: 4, rounds: 5 }));
const WARM_UP_PLANS = 60;

export function benchSizes(seed: number): string {
  const random = seededRandom(seed);
  const rules = RULE_SETS[0];
  for (let i = 0; i < WARM_UP_PLANS; i++) timedPlan(gardenOfSize(100, 5, random), rules);
  const sizes = SIZES.map((size) => ({ size, times: timesOf(size, random, rules) }));
  const crowds = CROWDS.map((size) => ({ size, times: timesOf(size, random, rules) }));
  const fitted = sizes.filter(({ size }) => size.vertices >= FIT_FROM_VERTICES);
  const row = (name: string, secondsOf: (times: PlanTimes) => number): string[] => [
    name,
    ...sizes.map(({ times }) => milliseconds(secondsOf(times))),
    growthExponent(fitted.map(({ size, times }) => [size.vertices, secondsOf(times)])).toFixed(2),
  ];
  const most = (times: PlanTimes): string => STAGE_IDS.reduce((a, b) => (times.ofStage[b] > times.ofStage[a] ? b : a));
  return [
    `Plans by size: lawns of so many vertices (1.5 m apart) with so many keep-outs; median ms, exponent from ${FIT_FROM_VERTICES} vertices on`,
    table([
      ['vertices / keep-outs', ...SIZES.map(({ vertices, keepOuts }) => `${vertices} / ${keepOuts}`), 'exponent'],
      row('whole plan with audit', ({ seconds }) => seconds),
      ...STAGE_IDS.map((stage) => row(stage, ({ ofStage }) => ofStage[stage])),
    ]),
    'Plans by keep-outs: lawns of 400 vertices',
    table([
      ['keep-outs', ...CROWDS.map(({ keepOuts }) => String(keepOuts))],
      ['whole plan with audit, median ms', ...crowds.map(({ times }) => milliseconds(times.seconds))],
      ['costliest stage', ...crowds.map(({ times }) => most(times))],
    ]),
  ].join('\n\n');
}

function timesOf({ vertices, keepOuts, sites, rounds }: SizeClass, random: () => number, rules: Rules): PlanTimes {
  const drawn: SiteInput[] = Array.from({ length: sites }, () => gardenOfSize(vertices, keepOuts, random));
  const times = drawn.map((site) => medianTimes(Array.from({ length: rounds }, () => timedPlan(site, rules))));
  return medianTimes(times);
}
