import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import { fieldMap } from '#geo-core/field/field-map.ts';
import { fieldTree } from '#geo-core/field/field-tree.ts';
import type { DerivedLawn, JoinedRoute } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { planSite } from '#geo-core/plan-site.ts';
import type { RealLawn } from '../support/real-lawns.ts';
import { quantile, table } from './statistics.ts';

/** The field over real lawns: cost of a place summed exactly, summed by stretches, and read from the map; and how far they are off. */

const LAWNS = 40;
const ROUNDS = 3;
/** Where the field turns its sign, beside the wire, a share of it says nothing. */
const LEAST_NT = 5;

export function benchField(lawns: readonly RealLawn[]): string {
  const rules = RULE_SETS[0];
  const rows = [
    [
      'segments',
      'lawns',
      'cells',
      'exact µs',
      'stretches µs',
      'map µs a cell',
      'exact : map',
      'off by, median',
      'worst',
    ],
  ];
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
      (1e6 * median((each) => each.exactS)).toFixed(2),
      (1e6 * median((each) => each.treeS)).toFixed(2),
      (1e6 * median((each) => each.mapS)).toFixed(2),
      `${median((each) => each.exactS / each.mapS).toFixed(1)} x`,
      median((each) => each.offMedian).toExponential(1),
      Math.max(...measured.map((each) => each.offWorst)).toExponential(1),
    ]);
  }
  return `The field over real lawns, ${rules.sensorHeightM} m over the wire; off = share of the exact sum or of ${LEAST_NT} nT\n\n${table(rows)}`;
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

type Measured = Readonly<Record<'cells' | 'exactS' | 'treeS' | 'mapS' | 'offMedian' | 'offWorst', number>>;

function measure({ lines, ground }: Wire, { sensorHeightM: heightM }: Rules): Measured {
  const made = secondsOf(() => fieldMap(lines, ground, { heightM }));
  const map = made.result;
  if (map === undefined) throw new Error('a lawn without cells');
  const cells = Array.from(map.fieldNt.keys()).filter((cell) => !Number.isNaN(map.fieldNt[cell]));
  const placeOf = (cell: number): [number, number] => [
    map.westM + ((cell % map.columns) + 0.5) * map.cellM,
    map.southM + (Math.floor(cell / map.columns) + 0.5) * map.cellM,
  ];
  const tree = fieldTree(lines);
  const exactAt = (x: number, y: number): number =>
    lines.reduce((sum, line) => sum + verticalFieldNt(line, x, y, heightM), 0);
  const exact = secondsOf(() => cells.map((cell) => exactAt(...placeOf(cell))));
  const stretches = secondsOf(() => cells.map((cell) => tree.fieldNt(...placeOf(cell), heightM)));
  const off = cells.map(
    (cell, i) => Math.abs(map.fieldNt[cell] - exact.result[i]) / Math.max(LEAST_NT, Math.abs(exact.result[i])),
  );
  return {
    cells: cells.length,
    exactS: exact.seconds / cells.length,
    treeS: stretches.seconds / cells.length,
    mapS: made.seconds / cells.length,
    offMedian: quantile(off, 0.5),
    offWorst: quantile(off, 1),
  };
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
