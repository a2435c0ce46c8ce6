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
    marks.forEach(({ chainageM, pass }, i) => {
      const at = pointAlong(route.line, route.chainageM, chainageM);
      const place = `${at.x} ${at.y}`;
      const spansMeet = i === 0 || i === marks.length - 1;
      if (spansMeet && pegged.has(place)) return;
      if (spansMeet) pegged.add(place);
      pegs.push({ at, chainageM, signalUnit: route.signalUnit, pass });
    });
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
    const fromM = chainageM[corners[i]];
    for (const mark of divide(fromM, chainageM[corners[i + 1]], rules)) {
      const before = marks[marks.length - 1].chainageM;
      marks.push(...holdBow(route, before, mark.chainageM, corners[i], corners[i + 1]), mark);
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
  const trialSteps = new Set(Array.from({ length: trials }, (_, k) => Math.round(((k + 1) * steps) / trials)));
  return Array.from({ length: steps }, (_, k) => ({
    chainageM: k + 1 === steps ? toM : fromM + (lengthM * (k + 1)) / steps,
    pass: trialSteps.has(k + 1) ? 'trial' : 'final',
  }));
}

/** Between two pegs the string may cut a bow that the corners alone held: the vertices that stray from it get pegs too. */
function holdBow(route: Route, fromM: number, toM: number, firstVertex: number, lastVertex: number): Mark[] {
  const { line, chainageM } = route;
  const between: number[] = [];
  for (let v = firstVertex + 1; v < lastVertex; v++) if (chainageM[v] > fromM && chainageM[v] < toM) between.push(v);
  if (between.length === 0) return [];
  const from = pointAlong(line, chainageM, fromM);
  const to = pointAlong(line, chainageM, toM);
  const inner = between.flatMap((v) => [line[2 * v], line[2 * v + 1]]);
  const bow = Float64Array.from([from.x, from.y, ...inner, to.x, to.y]);
  return turningVertices(bow, 0, between.length + 1, STRAY_M)
    .slice(1, -1)
    .map((kept) => ({ chainageM: chainageM[between[kept - 1]], pass: 'final' }));
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
