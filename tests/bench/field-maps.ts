import { fieldMap } from '#geo-core/field/field-map.ts';
import type { DerivedLawn, JoinedRoute } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { planSite } from '#geo-core/plan-site.ts';
import type { RealLawn } from '../support/real-lawns.ts';
import { quantile, table } from './statistics.ts';

/** The field over real lawns: what a cell of the map costs, and a whole map. The map is the exact sum: it is off by nothing. */

const LAWNS = 40;
const ROUNDS = 3;

export function benchField(lawns: readonly RealLawn[]): string {
  const rules = RULE_SETS[0];
  const rows = [['segments', 'lawns', 'cells', 'µs a cell', 'ms a map']];
  const wired = lawns.map((lawn) => wireOf(lawn, rules)).filter(({ lines }) => lines.length > 0);
  for (const [least, most] of [
    [0, 50],
    [50, 200],
    [200, 1000],
    [1000, 100_000],
  ]) {
    const own = wired.filter(({ segments }) => segments >= least && segments < most).slice(0, LAWNS);
    if (own.length === 0) continue;
    const measured = own.map((each) => measure(each, rules));
    const median = (of: (each: Measured) => number): number => quantile(measured.map(of), 0.5);
    rows.push([
      `${least} to ${most}`,
      String(own.length),
      median((each) => each.cells).toFixed(0),
      (1e6 * median((each) => each.mapS / each.cells)).toFixed(2),
      (1e3 * median((each) => each.mapS)).toFixed(1),
    ]);
  }
  return `The field over real lawns, ${rules.sensorHeightM} m over the wire\n\n${table(rows)}`;
}

type Wire = { readonly lines: readonly Polyline[]; readonly ground: readonly Polygon[]; readonly segments: number };

function wireOf({ site }: RealLawn, rules: Rules): Wire {
  let lines: readonly Polyline[] = [];
  let ground: readonly Polygon[] = [];
  planSite(site, rules, (stage, output) => {
    if (stage === '15-derive-lawn') ground = (output as DerivedLawn).lawn;
    if (stage === '50-join-route') lines = (output as JoinedRoute).routes.map(({ line }) => line);
  });
  return { lines, ground, segments: lines.reduce((sum, line) => sum + line.length / 2 - 1, 0) };
}

type Measured = { readonly cells: number; readonly mapS: number };

function measure({ lines, ground }: Wire, { sensorHeightM: heightM }: Rules): Measured {
  const { result: map, seconds } = secondsOf(() => fieldMap(lines, ground, { heightM }));
  if (map === undefined) throw new Error('a lawn without cells');
  return { cells: map.fieldNt.filter((nt) => !Number.isNaN(nt)).length, mapS: seconds };
}

function secondsOf<Result>(work: () => Result): { result: Result; seconds: number } {
  let best = { result: work(), seconds: Number.POSITIVE_INFINITY };
  for (let round = 0; round < ROUNDS; round++) {
    const startMs = performance.now();
    const result = work();
    const seconds = (performance.now() - startMs) / 1000;
    if (seconds < best.seconds) best = { result, seconds };
  }
  return best;
}
