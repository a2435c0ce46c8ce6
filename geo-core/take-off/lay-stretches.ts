import type { DerivedLawn, JoinedRoute, Lead, Route, Span } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Ground, PlaneSite } from '#geo-core/model/site.ts';
import type { LaidStretch } from '#geo-core/model/take-off.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { parameterOnSegment, pointSegmentM } from '#geo-core/plane/segment.ts';
import { type Stretch, stretchesInside } from '#geo-core/plane/stretches-inside.ts';

/**
 * Every route cut where its loops and leads begin and where the ground under it changes: crossings, and lawns said to be soft or hard
 * (the first named wins where they overlap). The stretches of a route follow each other without gaps.
 */
export function layStretches(site: PlaneSite, lawn: DerivedLawn, route: JoinedRoute): LaidStretch[] {
  const leads = new Map(route.leads.map((lead) => [lead.id, lead]));
  const said = [
    { over: 'crossing' as const, polygons: lawn.crossings },
    { over: 'hard' as const, polygons: groundOf(site, 'hard') },
    { over: 'soft' as const, polygons: groundOf(site, 'soft') },
  ].filter(({ polygons }) => polygons.length > 0);
  return route.routes.flatMap((each) => {
    const under = said.map(({ over, polygons }) => ({
      over,
      stretches: stretchesInside(each.line, each.chainageM, polygons),
    }));
    return each.spans.flatMap((span) => cutSpan(each, span, leads.get(span.id), under));
  });
}

function groundOf(site: PlaneSite, ground: Ground): Polygon[] {
  return site.features.flatMap((feature) =>
    feature.ground === ground && feature.shape.type === 'area' ? feature.shape.polygons : [],
  );
}

type Under = { readonly over: LaidStretch['over']; readonly stretches: readonly Stretch[] };

function cutSpan(route: Route, span: Span, lead: Lead | undefined, under: readonly Under[]): LaidStretch[] {
  const { of, id, firstVertex, lastVertex } = span;
  const [startM, endM] = [route.chainageM[firstVertex], route.chainageM[lastVertex]];
  const shared = lead !== undefined && walksBack(span, route.line, lead.line);
  const inside = under.map(({ over, stretches }) => ({
    over,
    stretches: stretches.filter(({ fromM, toM }) => toM > startM && fromM < endM),
  }));
  const cuts = new Set([startM, endM]);
  for (const { stretches } of inside)
    for (const { fromM, toM } of stretches)
      for (const atM of [fromM, toM]) if (atM > startM && atM < endM) cuts.add(atM);
  const ordered = [...cuts].sort((a, b) => a - b);
  return ordered.slice(1).map((toM, i): LaidStretch => {
    const middleM = (ordered[i] + toM) / 2;
    const found = inside.find(({ stretches }) => stretches.some((one) => one.fromM <= middleM && middleM <= one.toM));
    const over = found?.over ?? 'firm';
    return { signalUnit: route.signalUnit, fromM: ordered[i], toM, of, id, over, shared };
  });
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
