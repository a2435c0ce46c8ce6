import { FOOT_M } from '#geo-core/model/foot.ts';
import type { Plan, PlanFeature } from '#geo-core/model/plan.ts';
import type { PlanePoint, Polyline } from '#geo-core/model/position.ts';
import { segmentIndex } from '#geo-core/plane/box-index.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { pointAlong } from '#geo-core/plane/point-along.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { INK, WIDTH } from './ink.ts';
import { haloed, sans } from './lettering.ts';
import { element, group, type MarkUp } from './mark-up.ts';
import { type Placement, pathOf } from './placement.ts';

/** A stretch of the route nearer than this to the middle of a lead belongs to it, millimetres on the sheet. */
const ON_LEAD_MM = 0.02;
/** Metres, or feet. */
const CHAINAGE_STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500];
const LEAST_CHAINAGE_MM = 32;

/** Loops as a thick line with direction ticks and chainage, leads as two thin lines, the supply cable as a chain line. */
export function drawWire({ features }: Plan, place: Placement): MarkUp[] {
  const linesOf = (kind: PlanFeature['properties']['kind']) =>
    features.filter((feature) => feature.properties.kind === kind).flatMap((feature) => place.lines(feature.geometry));
  const leads = linesOf('lead');
  const isOnLead = leadTest(leads);
  const line = { fill: 'none', 'stroke-linejoin': 'round', 'stroke-linecap': 'round' };
  const routes = features.flatMap((feature) => routeLine(feature, place));
  const thick = routes.map((route) => stretchesOffLeads(route.line, isOnLead)).join('');
  const twin = leads.map((lead) => pathOf(lead, false)).join('');
  const cable = linesOf('supply-cable')
    .map((each) => pathOf(each, false))
    .join('');
  return [
    ...(twin === ''
      ? []
      : [
          element('path', { d: twin, ...line, stroke: INK.line, 'stroke-width': 1.15 }),
          element('path', { d: twin, ...line, stroke: INK.lawn, 'stroke-width': 0.65 }),
        ]),
    ...(thick === '' ? [] : [element('path', { d: thick, ...line, stroke: INK.line, 'stroke-width': WIDTH.thick })]),
    ...(cable === ''
      ? []
      : [
          element('path', {
            d: cable,
            ...line,
            stroke: INK.line,
            'stroke-width': WIDTH.middle,
            'stroke-dasharray': '4 1.2 0.3 1.2',
          }),
        ]),
    ...routes.flatMap((route) => chainageMarks(route, place, isOnLead)),
  ];
}

type RouteLine = { readonly line: Polyline; readonly chainageM: Float64Array };

/** The route as one line; where the antimeridian cut it, its parts meet on the sheet again. */
function routeLine({ properties, geometry }: PlanFeature, place: Placement): RouteLine[] {
  if (properties.kind !== 'route') return [];
  const line = Float64Array.from(place.lines(geometry).flatMap((part) => [...part]));
  return line.length < 4 ? [] : [{ line, chainageM: Float64Array.from(properties.chainageM) }];
}

function leadTest(leads: readonly Polyline[]): (x: number, y: number) => boolean {
  const segments = leads.flatMap((lead) =>
    Array.from({ length: Math.max(0, lead.length / 2 - 1) }, (_, i) => [...lead.subarray(i * 2, i * 2 + 4)]),
  );
  const index = segmentIndex(segments.flat());
  return (x, y) => {
    const near = index?.search(x - ON_LEAD_MM, y - ON_LEAD_MM, x + ON_LEAD_MM, y + ON_LEAD_MM) ?? [];
    return near.some((k) => {
      const [ax, ay, bx, by] = segments[k];
      return pointSegmentM(x, y, ax, ay, bx, by) <= ON_LEAD_MM;
    });
  };
}

function stretchesOffLeads(line: Polyline, isOnLead: (x: number, y: number) => boolean): string {
  let out = '';
  let stretch: number[] = [];
  const flush = () => {
    if (stretch.length > 2) out += pathOf(Float64Array.from(stretch), false);
    stretch = [];
  };
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = line.subarray(i, i + 4);
    if (isOnLead((ax + bx) / 2, (ay + by) / 2)) flush();
    else stretch.push(...(stretch.length === 0 ? [ax, ay] : []), bx, by);
  }
  flush();
  return out;
}

/** Every step of chainage a tick to the outside with its figure, halfway between two a chevron in laying direction. */
function chainageMarks(route: RouteLine, place: Placement, isOnLead: (x: number, y: number) => boolean): MarkUp[] {
  const unitM = place.wording.units === 'us' ? FOOT_M : 1;
  const step = CHAINAGE_STEPS.find((each) => each * unitM * place.mmPerM >= LEAST_CHAINAGE_MM) ?? 1000;
  const stepM = step * unitM;
  const lengthM = route.chainageM[route.chainageM.length - 1];
  const marks: MarkUp[] = [];
  const shiftM = 2.5 / place.mmPerM;
  for (let half = 1; (half * stepM) / 2 < lengthM - stepM / 4; half++) {
    const atM = (half * stepM) / 2;
    if (half % 2 === 0) {
      const { x, y, ux, uy } = alongRoute(route, atM, shiftM);
      if (!isOnLead(x, y)) marks.push(tick(x, y, ux, uy, place.wording.number((half / 2) * step)));
      continue;
    }
    // A chevron needs no exact place: beside a corner it moves on to the next straight.
    const straight = [0, 1, -1, 2, -2]
      .map((shift) => alongRoute(route, atM + shift * shiftM, shiftM))
      .find(({ x, y, turn }) => turn > 0.95 && !isOnLead(x, y));
    if (straight) marks.push(chevron(straight.x, straight.y, straight.ux, straight.uy));
  }
  return marks;
}

type Heading = {
  readonly x: number;
  readonly y: number;
  readonly ux: number;
  readonly uy: number;
  readonly turn: number;
};

/** A place of the route, the direction of travel from `reachM` before it to as far behind it, and the cosine of the turn between. */
function alongRoute({ line, chainageM }: RouteLine, atM: number, reachM: number): Heading {
  const at = pointAlong(line, chainageM, atM);
  const from = pointAlong(line, chainageM, atM - reachM);
  const to = pointAlong(line, chainageM, atM + reachM);
  const [whole, before, behind] = [direction(from, to), direction(from, at), direction(at, to)];
  return { ...at, ...whole, turn: before.ux * behind.ux + before.uy * behind.uy };
}

function direction(from: PlanePoint, to: PlanePoint): { ux: number; uy: number } {
  const length = distanceM(from.x, from.y, to.x, to.y);
  return length === 0 ? { ux: 1, uy: 0 } : { ux: (to.x - from.x) / length, uy: (to.y - from.y) / length };
}

function chevron(x: number, y: number, ux: number, uy: number): MarkUp {
  const wing = (side: 1 | -1): [number, number] => [x - 1.5 * ux - side * 1.05 * uy, y - 1.5 * uy + side * 1.05 * ux];
  const arrow = Float64Array.of(...wing(1), x + 0.9 * ux, y + 0.9 * uy, ...wing(-1));
  return element('path', {
    d: pathOf(arrow, false),
    fill: 'none',
    stroke: INK.line,
    'stroke-width': 0.4,
    'stroke-linejoin': 'round',
    'stroke-linecap': 'round',
  });
}

/** The working area lies left of the wire, so the figure stands to its right: on the sheet, where y runs down, that is (-uy, ux). */
function tick(x: number, y: number, ux: number, uy: number, words: string): MarkUp {
  const out = (by: number): [number, number] => [x - uy * by, y + ux * by];
  const [labelX, labelY] = out(3.1);
  const anchor = Math.abs(uy) < 0.5 ? 'middle' : uy > 0 ? 'end' : 'start';
  return group(
    element('path', {
      d: pathOf(Float64Array.of(...out(-0.9), ...out(1.5)), false),
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
    }),
    sans(words, labelX, labelY + 0.8, 2.3, anchor, haloed(INK.paper)),
  );
}
