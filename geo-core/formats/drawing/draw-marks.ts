import type { Plan, PlanFeature, PlanFinding } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { Connectivity } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { clearanceM, raiseWalls } from '#geo-core/plane/clearance-walls.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { distanceM, polygonAreaM2 } from '#geo-core/plane/measure.ts';
import type { MessageKey } from '#geo-core/wording/en.ts';
import { drawPassage } from './draw-passage.ts';
import { INK, WIDTH } from './ink.ts';
import { haloed, sans, serif } from './lettering.ts';
import { element, type MarkUp } from './mark-up.ts';
import { type Placement, pathOf } from './placement.ts';

const LEAST_BETWEEN_PEGS_MM = 2.5;
/** Names keep this far from the flag of a finding, millimetres. */
const CLEAR_OF_FLAG_MM = 9;

export const CONNECTIVITY_WORDS = {
  reachable: 'mark.reachable',
  'narrow-passage': 'mark.narrowPassage',
  isolated: 'mark.isolated',
} as const satisfies Record<Connectivity, MessageKey>;

const CLEAR_OF_STATION_MM = 16;

type Flag = readonly [number, number];

/** Names, dimensions and symbols, from the least to the most important. */
export function drawMarks(plan: Plan, place: Placement): MarkUp[] {
  const { features } = plan;
  const areas = features.flatMap((feature) =>
    feature.properties.kind === 'working-area' ? place.polygons(feature.geometry) : [],
  );
  const flags = placedFindings(plan).map(({ at }) => place.point(at));
  const stations = features.flatMap(({ properties, geometry }) =>
    properties.kind === 'station' ? positionsOf(geometry).map(place.point) : [],
  );
  return [
    ...trialPegs(features, place),
    ...features.flatMap((feature) => zoneName(feature, place, flags)),
    ...features.flatMap((feature) => drawPassage(feature, place, areas)),
    ...features.flatMap((feature) => cableLength(feature, place, stations)),
    ...features.flatMap((feature) => splice(feature, place)),
    ...features.flatMap((feature) => station(feature, place)),
    ...flags.map((flag, i) => findingFlag(flag, i + 1)),
  ];
}

/** Stops and cautions with a place, in the order of their numbers on the sheet. */
export function placedFindings({
  findings,
}: Plan): readonly (PlanFinding & { readonly at: readonly [number, number] })[] {
  return findings.flatMap((finding) =>
    finding.severity !== 'note' && finding.at !== null ? [{ ...finding, at: finding.at }] : [],
  );
}

/** Pegs of the trial lap along the route; those that would touch the one before are left out. */
function trialPegs(features: readonly PlanFeature[], place: Placement): MarkUp[] {
  const marks: MarkUp[] = [];
  let [beforeX, beforeY] = [Number.NEGATIVE_INFINITY, 0];
  for (const { properties, geometry } of features) {
    if (properties.kind !== 'peg' || properties.pass !== 'trial') continue;
    const [cx, cy] = place.point(positionsOf(geometry)[0]);
    if (distanceM(beforeX, beforeY, cx, cy) < LEAST_BETWEEN_PEGS_MM) continue;
    [beforeX, beforeY] = [cx, cy];
    marks.push(element('circle', { cx, cy, r: 0.5, fill: INK.paper, stroke: INK.line, 'stroke-width': WIDTH.thin }));
  }
  return marks;
}

/** In the middle of the widest ground of the zone. */
function zoneName({ id, properties, geometry }: PlanFeature, place: Placement, flags: readonly Flag[]): MarkUp[] {
  if (properties.kind !== 'zone') return [];
  const largest = place.polygons(geometry).toSorted((a, b) => polygonAreaM2(b) - polygonAreaM2(a))[0];
  const at = largest && widestPlaceOf(largest, flags);
  if (!at) return [];
  const { say, area } = place.wording;
  const name = say('mark.zone', { n: id.replace(/^zone-/, '') });
  return [
    serif(name, at.x, at.y, 5.4, 'middle', { 'font-style': 'italic', ...haloed(INK.lawn) }),
    sans(
      `${area(properties.areaM2)}, ${say(CONNECTIVITY_WORDS[properties.connectivity])}`,
      at.x,
      at.y + 4,
      2.7,
      'middle',
      haloed(INK.lawn),
    ),
  ];
}

function widestPlaceOf(polygon: Polygon, flags: readonly Flag[]): { x: number; y: number } | undefined {
  const walls = raiseWalls(polygon);
  if (walls === undefined) return undefined;
  let widest: { x: number; y: number; clear: number } | undefined;
  for (const { x, y } of interiorPoints(polygon, 150)) {
    // A name is wider than it is high: room to the sides counts for more.
    const clear = Math.min(
      ...[-12, -6, 0, 6, 12].map((dx) => (walls.holds(x + dx, y) ? clearanceM(walls, x + dx, y, 4) : 0)),
    );
    if (flags.some(([flagX, flagY]) => distanceM(x, y, flagX, flagY) < CLEAR_OF_FLAG_MM)) continue;
    const score = clear + clearanceM(walls, x, y, 4) / 10;
    if (widest === undefined || score > widest.clear) widest = { x, y, clear: score };
  }
  return widest;
}

/** The outlet; beside a station there is no room for the length. */
function cableLength({ properties, geometry }: PlanFeature, place: Placement, stations: readonly Flag[]): MarkUp[] {
  if (properties.kind !== 'supply-cable') return [];
  const [first] = place.lines(geometry);
  const [x, y] = first;
  const { say, length } = place.wording;
  const label = sans(
    say('mark.cable', { length: length(properties.lengthM) }),
    x + 2,
    y - 1.4,
    2.5,
    'start',
    haloed(INK.paper),
  );
  const isCrowded = stations.some(([stationX, stationY]) => distanceM(x, y, stationX, stationY) < CLEAR_OF_STATION_MM);
  return [
    element('circle', { cx: x, cy: y, r: 1.1, fill: INK.paper, stroke: INK.line, 'stroke-width': WIDTH.middle }),
    element('circle', { cx: x, cy: y, r: 0.35, fill: INK.line }),
    ...(isCrowded ? [] : [label]),
  ];
}

function splice({ properties, geometry }: PlanFeature, place: Placement): MarkUp[] {
  if (properties.kind !== 'splice') return [];
  const [x, y] = place.point(positionsOf(geometry)[0]);
  const { say, length } = place.wording;
  return [
    element('rect', {
      x: x - 1.1,
      y: y - 1.1,
      width: 2.2,
      height: 2.2,
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
      transform: `rotate(45 ${x} ${y})`,
    }),
    sans(
      say('mark.splice', { length: length(properties.chainageM) }),
      x + 2.4,
      y - 1.6,
      2.5,
      'start',
      haloed(INK.paper),
    ),
  ];
}

/** A plate on the wire with an arrow along it, named on the side away from the working area. */
function station({ properties, geometry }: PlanFeature, place: Placement): MarkUp[] {
  if (properties.kind !== 'station') return [];
  const [x, y] = place.point(positionsOf(geometry)[0]);
  const isCharging = properties.role === 'charging';
  const ink = { stroke: INK.line, 'stroke-width': WIDTH.middle };
  const symbol = element(
    'g',
    { transform: `translate(${x.toFixed(2)} ${y.toFixed(2)}) rotate(${properties.headingDeg.toFixed(1)})` },
    element('rect', {
      x: -2.1,
      y: -2.9,
      width: 4.2,
      height: 5.8,
      rx: 0.9,
      fill: isCharging ? INK.line : INK.paper,
      ...ink,
    }),
    element('path', {
      d: 'M-1.1 0.9L0 -1.4L1.1 0.9',
      fill: 'none',
      stroke: isCharging ? INK.paper : INK.line,
      'stroke-width': 0.5,
      'stroke-linecap': 'round',
      'stroke-linejoin': 'round',
    }),
  );
  const outward = ((properties.headingDeg + 90) * Math.PI) / 180;
  const [ox, oy] = [Math.sin(outward), -Math.cos(outward)];
  const anchor = ox > 0.4 ? 'start' : ox < -0.4 ? 'end' : 'middle';
  const below = oy > 0.5 ? 3 : oy < -0.5 ? -0.6 : 1.2;
  const { say } = place.wording;
  const name = isCharging ? say('mark.station') : say('mark.signalUnit', { n: properties.signalUnit });
  return [symbol, serif(name, x + ox * 5, y + oy * 5 + below, 4, anchor, haloed(INK.paper))];
}

function findingFlag([x, y]: readonly [number, number], number: number): MarkUp {
  return element(
    'g',
    {},
    element('path', {
      d: pathOf(Float64Array.of(x, y, x - 2.6, y - 4.5, x + 2.6, y - 4.5), true),
      fill: INK.paper,
      stroke: INK.line,
      'stroke-width': WIDTH.middle,
      'stroke-linejoin': 'round',
    }),
    sans(String(number), x, y - 2.3, 2.2, 'middle', { 'font-weight': 600 }),
  );
}
