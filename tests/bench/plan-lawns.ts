import { RULE_SETS } from '#geo-core/model/rules.ts';
import { type LawnOutcome, planRealLawn } from '../support/plan-real-lawn.ts';
import type { RealLawn } from '../support/real-lawns.ts';
import { milliseconds, percent, quantile, sum, table } from './statistics.ts';

/** Whole plans of the real lawns, one core: how many a second, which stages take the time, what was refused and why. */

const WARM_UP = 40;
const WORST = 10;
const clockS = (): number => performance.now() / 1000;

export function benchLawns(lawns: readonly RealLawn[]): string {
  const rules = RULE_SETS[0];
  for (const lawn of lawns.slice(0, WARM_UP)) planRealLawn(lawn, rules, clockS);
  const outcomes = lawns.map((lawn) => planRealLawn(lawn, rules, clockS));
  const seconds = outcomes.map((outcome) => outcome.seconds);
  return [
    `Plans of ${lawns.length} real lawns, rule set ${rules.name}, one core`,
    table([
      ['plans/s', 'median ms', 'p90 ms', 'p99 ms', 'worst ms'],
      [
        (lawns.length / sum(seconds)).toFixed(1),
        ...[0.5, 0.9, 0.99, 1].map((share) => milliseconds(quantile(seconds, share))),
      ],
    ]),
    outcomesTable(outcomes),
    stagesTable(outcomes),
    worstTable(outcomes),
  ].join('\n\n');
}

function outcomesTable(outcomes: readonly LawnOutcome[]): string {
  const planned = outcomes.filter((outcome) => outcome.planned);
  const reasons = new Map<string, number>();
  for (const outcome of outcomes.filter((each) => !each.planned))
    for (const code of outcome.refusedBy) reasons.set(code, (reasons.get(code) ?? 0) + 1);
  const row = (name: string, count: number): string[] => [name, String(count), percent(count / outcomes.length)];
  return table([
    ['outcome', 'lawns', 'share'],
    row('planned, audit passed', planned.filter(({ plan }) => plan.audit.passed).length),
    row('planned, audit failed', planned.filter(({ plan }) => !plan.audit.passed).length),
    row('refused', outcomes.length - planned.length),
    ...[...reasons].toSorted((a, b) => b[1] - a[1]).map(([code, count]) => row(`  by ${code}`, count)),
  ]);
}

function stagesTable(outcomes: readonly LawnOutcome[]): string {
  const stages = [...new Set(outcomes.flatMap(({ stageSeconds }) => [...stageSeconds.keys()]))];
  const total = sum(outcomes.map(({ seconds }) => seconds));
  return table([
    ['stage', 'share of time', 'median ms', 'p99 ms'],
    ...stages.map((stage) => {
      const seconds = outcomes.flatMap(({ stageSeconds }) => stageSeconds.get(stage) ?? []);
      return [
        stage,
        percent(sum(seconds) / total),
        milliseconds(quantile(seconds, 0.5)),
        milliseconds(quantile(seconds, 0.99)),
      ];
    }),
  ]);
}

function worstTable(outcomes: readonly LawnOutcome[]): string {
  return table([
    ['slowest', 'ms', 'vertices', 'area m²', 'slowest stage'],
    ...outcomes
      .toSorted((a, b) => b.seconds - a.seconds)
      .slice(0, WORST)
      .map(({ lawn, seconds, areaM2, stageSeconds }) => [
        lawn.name,
        milliseconds(seconds),
        String(lawn.vertices),
        areaM2.toFixed(0),
        [...stageSeconds].toSorted((a, b) => b[1] - a[1])[0]?.[0] ?? '',
      ]),
  ]);
}
