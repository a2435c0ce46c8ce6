import type { Staged } from '#geo-core/model/finding.ts';
import type { JoinedRoute, Lead, Peg, Route, SettingOut, Span, Splice } from '#geo-core/model/plane-plan.ts';
import type { Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { intervalCount } from '#geo-core/plane/interval-count.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointAlong } from '#geo-core/plane/point-along.ts';
import { parameterOnSegment, pointSegmentM } from '#geo-core/plane/segment.ts';
import { turningVertices } from '#geo-core/plane/turning-vertices.ts';

export type SetOutInput = { readonly route: JoinedRoute };

/** A wire held by pegs strays at most this far from its line; 20 mm, common practice, no source. */
const STRAY_M = 0.02;

/**
 * Route -> pegs and splices by chainage. Every peg is listed once, under the pass in which it is driven: `trial` pegs (at corners and
 * at most `pegTrialSpacingM` apart) stay when the `final` ones close the gaps to `pegSpacingM`. The two wires of a lead touch and
 * share pegs, so a lead is pegged on the way out only. Spools are counted by route: what is left of one is not planned into the next.
 */
export function setOut({ route }: SetOutInput, rules: Rules): Staged<SettingOut> {
  const leads = new Map(route.leads.map((lead) => [lead.id, lead]));
  const spools = route.routes.map((one) => intervalCount(wireNeededM(one, rules), rules.spoolM));
  return {
    output: {
      pegs: route.routes.flatMap((one) => pegRoute(one, leads, rules)),
      splices: route.routes
        .flatMap((one, i) => spliceRoute(one, spools[i], rules))
        .map((splice, i) => ({ id: `splice-${i + 1}`, ...splice })),
      spoolCount: spools.reduce((sum, count) => sum + count, 0),
    },
    findings: [],
  };
}

function pegRoute(route: Route, leads: ReadonlyMap<string, Lead>, rules: Rules): Peg[] {
  const pegged = new Set<string>();
  const pegs: Peg[] = [];
  for (const span of route.spans) {
    const lead = leads.get(span.id);
    if (lead !== undefined && walksBack(span, route.line, lead.line)) continue;
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

/** A lead's line runs away from the station: a stretch of the route that runs against it is the way back. */
function walksBack(span: Span, line: Polyline, lead: Polyline): boolean {
  const { firstVertex: first, lastVertex: last } = span;
  return alongM(lead, line[2 * last], line[2 * last + 1]) < alongM(lead, line[2 * first], line[2 * first + 1]);
}

/** Metres along a line to the point of it that lies nearest to (x, y). */
function alongM(line: Polyline, x: number, y: number): number {
  let nearestM = Number.POSITIVE_INFINITY;
  let foundM = 0;
  let walkedM = 0;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const lengthM = distanceM(ax, ay, bx, by);
    const offM = pointSegmentM(x, y, ax, ay, bx, by);
    if (offM < nearestM) {
      nearestM = offM;
      foundM = walkedM + lengthM * parameterOnSegment(x, y, ax, ay, bx, by);
    }
    walkedM += lengthM;
  }
  return foundM;
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

/** Route, a spare end on either side, and the reserve on all of it. */
function wireNeededM(route: Route, rules: Rules): number {
  return (route.lengthM + 2 * rules.endSpareM) * (1 + rules.reservePct / 100);
}

/**
 * Where spools end: the first begins with the spare end before the station, and every spool lays less than its length because the reserve
 * goes into bends. A spool that ends in a spare end is spliced at the station.
 */
function spliceRoute(route: Route, spools: number, rules: Rules): Omit<Splice, 'id'>[] {
  const laidBySpoolM = rules.spoolM / (1 + rules.reservePct / 100);
  return Array.from({ length: Math.max(0, spools - 1) }, (_, k) => {
    const chainageM = Math.min(route.lengthM, Math.max(0, (k + 1) * laidBySpoolM - rules.endSpareM));
    const at = pointAlong(route.line, route.chainageM, chainageM);
    return { at, chainageM, signalUnit: route.signalUnit, reason: 'spool-end' };
  });
}
