import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  JoinedRoute,
  Peg,
  Route,
  SettingOut,
  SlopeCheck,
  Span,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { PlanePoint } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import { intervalCount } from '#geo-core/plane/interval-count.ts';
import { pointAlong } from '#geo-core/plane/point-along.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { turningVertices } from '#geo-core/plane/turning-vertices.ts';
import { layStretches } from '#geo-core/take-off/lay-stretches.ts';
import { noSplice } from '#geo-core/take-off/no-splice.ts';
import { planSpools } from '#geo-core/take-off/plan-spools.ts';
import { spoolSizesM } from '#geo-core/take-off/spool-sizes.ts';
import { wireParts } from '#geo-core/take-off/wire-parts.ts';

export type SetOutInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly zones: ZonedArea;
  readonly route: JoinedRoute;
  readonly slopeCheck: SlopeCheck | undefined;
};

/** A wire held by pegs strays at most this far from its line; 20 mm, common practice, no source. */
const STRAY_M = 0.02;

/**
 * Route -> pegs, splices and spools by chainage. Every peg is listed once, under the pass in which it is driven: `trial` pegs (at corners and
 * at most `pegTrialSpacingM` apart) stay when the `final` ones close the gaps to `pegSpacingM`. The two wires of a lead touch and
 * share pegs, so a lead is pegged on the way out only. Spools are those of the price book, laid in the order of the routes.
 */
export function setOut({ site, lawn, zones, route, slopeCheck }: SetOutInput, rules: Rules): Staged<SettingOut> {
  const { routes } = route;
  const stretches = layStretches(site, lawn, route);
  const parts = wireParts(route, slopeCheck);
  const barred = routes.map((each) => noSplice(each, stretches, zones.passages, rules));
  const { spools, ends } = planSpools(routes, parts, barred, spoolSizesM(site.prices, rules), rules);
  const shared = new Set(
    stretches.filter((one) => one.shared).map(({ signalUnit, fromM }) => `${signalUnit} ${fromM}`),
  );
  const splices = ends.flatMap(({ signalUnit, chainageM, forced }, i) => {
    const laid = routes.find((each) => each.signalUnit === signalUnit);
    if (laid === undefined) return [];
    const at = pointAlong(laid.line, laid.chainageM, chainageM);
    return [{ id: `splice-${i + 1}`, at, chainageM, signalUnit, reason: 'spool-end' as const, forced }];
  });
  return {
    output: {
      pegs: routes.flatMap((one) => pegRoute(one, shared, rules)),
      splices: splices.map(({ forced: _, ...splice }) => splice),
      spoolCount: spools.length,
      stretches,
      parts,
      spools,
    },
    findings: splices.filter(({ forced }) => forced).map(splicedWhereNoneShouldBe),
  };
}

function splicedWhereNoneShouldBe({ id, chainageM, at }: { id: string; chainageM: number; at: PlanePoint }): Finding {
  return {
    code: 'set-out.splice-not-reachable',
    severity: 'caution',
    message: `The splice at chainage ${chainageM.toFixed(1)} m lies under paving, in a passage or at the station: no spool on offer reaches past it.`,
    advice: 'Offer a longer spool, or make the splice in a box that can be opened, and mark it on the drawing.',
    value: chainageM,
    unit: 'm',
    at,
    subject: id,
  };
}

function pegRoute(route: Route, shared: ReadonlySet<string>, rules: Rules): Peg[] {
  const pegged = new Set<string>();
  const pegs: Peg[] = [];
  for (const span of route.spans) {
    if (shared.has(`${route.signalUnit} ${route.chainageM[span.firstVertex]}`)) continue;
    const marks = pegSpan(route, span, rules);
    for (let i = 0; i < marks.length; i++) {
      const { chainageM, pass } = marks[i];
      const at = pointAlong(route.line, route.chainageM, chainageM);
      if (i === 0 || i === marks.length - 1) {
        const place = `${at.x} ${at.y}`;
        if (pegged.has(place)) continue;
        pegged.add(place);
      }
      pegs.push({ at, chainageM, signalUnit: route.signalUnit, pass });
    }
  }
  return pegs;
}

type Mark = { readonly chainageM: number; readonly pass: Peg['pass'] };

/** Pegs of one stretch of the route, both ends included: at its corners, between them evenly, and wherever a bow strays too far. */
function pegSpan(route: Route, span: Span, rules: Rules): Mark[] {
  const { line, chainageM } = route;
  const corners = turningVertices(line, span.firstVertex, span.lastVertex, STRAY_M);
  const marks: Mark[] = [{ chainageM: chainageM[span.firstVertex], pass: 'trial' }];
  for (let i = 0; i + 1 < corners.length; i++) {
    let beforeM = chainageM[corners[i]];
    let vertex = corners[i] + 1;
    for (const mark of divide(beforeM, chainageM[corners[i + 1]], rules)) {
      const first = vertex;
      while (vertex < corners[i + 1] && chainageM[vertex] < mark.chainageM) vertex++;
      holdBow(route, beforeM, mark.chainageM, first, vertex, marks);
      marks.push(mark);
      beforeM = mark.chainageM;
    }
  }
  return marks;
}

/** Even steps from one corner to the next (the second included); every so many of them is a peg of the trial pass. */
function divide(fromM: number, toM: number, rules: Rules): Mark[] {
  const lengthM = toM - fromM;
  const steps = intervalCount(lengthM, Math.min(rules.pegSpacingM, rules.pegTrialSpacingM));
  const mostPerTrial = Math.max(1, Math.floor((rules.pegTrialSpacingM * steps) / lengthM + 1e-9));
  const trials = intervalCount(steps, mostPerTrial);
  const marks: Mark[] = [];
  let trial = 1;
  for (let step = 1; step <= steps; step++) {
    const isTrial = step === Math.round((trial * steps) / trials);
    if (isTrial) trial++;
    marks.push({
      chainageM: step === steps ? toM : fromM + (lengthM * step) / steps,
      pass: isTrial ? 'trial' : 'final',
    });
  }
  return marks;
}

/**
 * Between two pegs the string may cut a bow that the corners alone held: the vertices (from `first` to before `end`) that stray from
 * it get pegs too.
 */
function holdBow(route: Route, fromM: number, toM: number, first: number, end: number, marks: Mark[]): void {
  const { line, chainageM } = route;
  let start = first;
  while (start < end && chainageM[start] <= fromM) start++;
  if (start >= end) return;
  const from = pointAlong(line, chainageM, fromM);
  const to = pointAlong(line, chainageM, toM);
  let strays = false;
  for (let v = start; v < end && !strays; v++)
    strays = pointSegmentM(line[2 * v], line[2 * v + 1], from.x, from.y, to.x, to.y) > STRAY_M;
  if (!strays) return;
  const bow = new Float64Array(2 * (end - start) + 4);
  bow.set([from.x, from.y]);
  bow.set(line.subarray(2 * start, 2 * end), 2);
  bow.set([to.x, to.y], bow.length - 2);
  const kept = turningVertices(bow, 0, end - start + 1, STRAY_M);
  for (let k = 1; k + 1 < kept.length; k++) marks.push({ chainageM: chainageM[start + kept[k] - 1], pass: 'final' });
}
