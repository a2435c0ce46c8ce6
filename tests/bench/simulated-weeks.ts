import type { JoinedRoute, LaidLoops, SitedStations, Upkeep, ZonedArea } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { randomCoveredShare } from '#geo-core/upkeep/coverage.ts';
import { type MowingSimulation, simulateMowing } from '#geo-core/upkeep/simulate-mowing.ts';
import type { RealLawn } from '../support/real-lawns.ts';
import { quantile, table } from './statistics.ts';

/** Simulated weeks of real lawns: seconds of the clock for each second of computing, and cover beside the law of random search. */

const LAWNS = 60;

export function benchSimulation(lawns: readonly RealLawn[]): string {
  const rules = RULE_SETS[0];
  const weeks = lawns.flatMap((lawn) => weekOf(lawn, rules)).slice(0, LAWNS);
  const tell = (name: string, of: (week: Week) => number, digits: number): string[] => [
    name,
    ...[0.1, 0.5, 0.9].map((share) => quantile(weeks.map(of), share).toFixed(digits)),
  ];
  const rows = [
    ['', 'tenth', 'median', 'nine tenths'],
    tell('ground, m²', ({ told }) => told.visits.wanted.reduce((sum, one) => sum + one, 0) * told.visits.cellM ** 2, 0),
    tell('straight runs', ({ told }) => told.runs, 0),
    tell('computing, ms', ({ seconds }) => 1000 * seconds, 1),
    tell('real time : computing', ({ told, seconds }) => (3600 * told.clockH) / seconds, 0),
    tell('passes', ({ told }) => last(told).passes, 2),
    tell('cover, %', ({ told }) => 100 * last(told).share, 1),
    tell(
      'cover less 1 - exp(-passes), points',
      ({ told }) => 100 * (last(told).share - randomCoveredShare(last(told).passes)),
      1,
    ),
  ];
  return `A week of random runs without laps on ${weeks.length} real lawns\n\n${table(rows)}`;
}

type Week = { readonly told: MowingSimulation; readonly seconds: number };

function last({ cover }: MowingSimulation) {
  return cover[cover.length - 1];
}

function weekOf({ site: input }: RealLawn, rules: Rules): Week[] {
  const seen: Record<string, unknown> = {};
  planSite(input, rules, (stage, output) => {
    seen[stage] = output;
  });
  const { routes } = seen['50-join-route'] as JoinedRoute;
  const [station] = (seen['45-site-station'] as SitedStations).stations;
  if (routes.length === 0 || station === undefined) return [];
  const given = {
    loops: seen['35-loop-keep-outs'] as LaidLoops,
    zones: seen['40-split-zones'] as ZonedArea,
    station: station.at,
    gridM: (seen['10-project-site'] as PlaneSite).gridM,
  };
  const options = { seed: 1, hours: (seen['70-plan-upkeep'] as Upkeep).hoursPerWeek, edgeLapEveryH: 0 };
  const startMs = performance.now();
  const told = simulateMowing(given, rules, options);
  return told === undefined ? [] : [{ told, seconds: (performance.now() - startMs) / 1000 }];
}
