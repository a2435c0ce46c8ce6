/** Long because every way to spoil a plan stands beside the others: one list, one small function each. */

import type { AuditInput } from '#geo-core/audit/evidence.ts';
import type { EdgeRing, KeepOut, Lead, Loop, Peg, Route, SettingOut, Span } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { SiteKind } from '#geo-core/model/site.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { parameterOnSegment, pointSegmentM } from '#geo-core/plane/segment.ts';
import { rectangle, routeOf } from './golden-garden.ts';

/** Ways to spoil a correct plan on purpose: whoever the planner is, the named check must see it. */
export type Corruption = {
  readonly what: string;
  readonly caughtBy: string;
  /** Undefined where the plan has nothing of the kind: no lead, no keep-out loop, no splice. */
  spoil(plan: AuditInput, rules: Rules): AuditInput | undefined;
};

export const CORRUPTIONS: readonly Corruption[] = [
  { what: 'a boundary vertex 5 mm outward', caughtBy: 'offset-kept', spoil: (plan) => vertexOutward(plan, 0.005) },
  { what: 'a boundary vertex 0.5 mm outward', caughtBy: 'offset-kept', spoil: (plan) => vertexOutward(plan, 0.0005) },
  { what: 'a boundary vertex 3 m outward', caughtBy: 'on-lawn', spoil: (plan) => vertexOutward(plan, 3) },
  { what: 'a keep-out vertex 5 mm inward', caughtBy: 'keep-out-kept', spoil: keepOutInward },
  { what: 'a keep-out grown over its wire', caughtBy: 'keep-out-kept', spoil: keepOutOnWire },
  { what: 'a keep-out wound the wrong way', caughtBy: 'winding', spoil: keepOutReversed },
  { what: 'a keep-out wound the wrong way', caughtBy: 'field-sign', spoil: keepOutReversed },
  { what: 'the whole route wound the wrong way', caughtBy: 'winding', spoil: routeReversed },
  { what: 'the whole route wound the wrong way', caughtBy: 'field-sign', spoil: routeReversed },
  { what: 'a keep-out without a loop', caughtBy: 'winding', spoil: keepOutWithoutLoop },
  { what: 'a working area larger than the wire', caughtBy: 'winding', spoil: areaGrown },
  { what: 'a forgotten hole of the working area', caughtBy: 'areas-add-up', spoil: holeForgotten },
  { what: 'an area of lawn off by a hundredth of a square metre', caughtBy: 'areas-add-up', spoil: lawnAreaOff },
  { what: 'an area of a zone off by a thousandth of a square metre', caughtBy: 'areas-add-up', spoil: zoneAreaOff },
  { what: 'a thing of the site that nobody has kept out', caughtBy: 'winding', spoil: thingForgotten },
  { what: 'the wires of a lead 0.2 m apart', caughtBy: 'leads-opposite', spoil: leadApart },
  { what: 'the wires of a lead 0.2 m apart', caughtBy: 'field-sign', spoil: leadApart },
  { what: 'a lead that the route does not walk', caughtBy: 'leads-opposite', spoil: leadUnwalked },
  { what: 'a lead that ends short of its loop', caughtBy: 'leads-opposite', spoil: leadShort },
  { what: 'a finger of working area 0.3 m wide', caughtBy: 'wires-apart', spoil: (plan) => finger(plan, 4) },
  {
    what: 'a finger of working area no deeper than the least gap',
    caughtBy: 'wires-apart',
    spoil: (plan, { wireGapM }) => finger(plan, 0.7 * wireGapM),
  },
  { what: 'a wire that crosses itself', caughtBy: 'no-crossing', spoil: knot },
  { what: 'a cut corner drawn out to its tip', caughtBy: 'turns-drivable', spoil: cornerUncut },
  { what: 'a spike of working area 0.3 m wide', caughtBy: 'turns-drivable', spoil: spike },
  { what: 'ground where nothing may be laid under a wire', caughtBy: 'off-no-wire-ground', spoil: noWireUnder },
  { what: 'a lead over paving that is no crossing', caughtBy: 'on-given-ground', spoil: pavedLead },
  { what: 'a building under a wire', caughtBy: 'on-given-ground', spoil: builtOver },
  { what: 'lawn edges at water taken for lawn edges at grass', caughtBy: 'offset-kept', spoil: waterBeyond },
  { what: 'a lawn edge that nobody has looked at', caughtBy: 'offset-kept', spoil: edgesForgotten },
  { what: 'a route that ends 1 mm short', caughtBy: 'route-closed', spoil: routeOpen },
  { what: 'a station 0.1 m beside its route', caughtBy: 'route-starts-at-station', spoil: stationBeside },
  { what: 'a route 1 mm longer than it is', caughtBy: 'lengths-add-up', spoil: routeLonger },
  { what: 'a chainage off by one vertex', caughtBy: 'lengths-add-up', spoil: chainageShifted },
  { what: 'a stretch of route that belongs to nothing', caughtBy: 'lengths-add-up', spoil: spanMissing },
  { what: 'a place that is not a number', caughtBy: 'lengths-add-up', spoil: notANumber },
  { what: 'a loop that no route walks', caughtBy: 'lengths-add-up', spoil: loopUnwalked },
  { what: 'a chainage off by one peg', caughtBy: 'pegs-on-route', spoil: pegChainages },
  { what: 'a peg 2 mm off the line', caughtBy: 'pegs-on-route', spoil: pegBeside },
  { what: 'a peg beyond the end of the route', caughtBy: 'pegs-on-route', spoil: pegBeyond },
  { what: 'a peg of another signal unit', caughtBy: 'pegs-on-route', spoil: pegElsewhere },
  { what: 'every second peg forgotten', caughtBy: 'peg-spacing', spoil: pegsHalved },
  { what: 'a corner without a peg', caughtBy: 'pegs-hold-line', spoil: cornerUnpegged },
  { what: 'a joint of a lead without a peg', caughtBy: 'pegs-hold-line', spoil: jointUnpegged },
  { what: 'no trial pegs', caughtBy: 'peg-spacing', spoil: trialPegsMissing },
  { what: 'a missing splice', caughtBy: 'spools-cover', spoil: spliceMissing },
  { what: 'a spool too few', caughtBy: 'spools-cover', spoil: spoolMissing },
  { what: 'a spool that is too short', caughtBy: 'spools-cover', spoil: spoolShort },
  { what: 'wire ordered without the spares', caughtBy: 'quantities-add-up', spoil: wireShort },
  { what: 'a peg less in the take-off than are set out', caughtBy: 'pieces-add-up', spoil: pegLess },
  { what: 'an amount off by a cent', caughtBy: 'amounts-add-up', spoil: amountOff },
  {
    what: 'a net sum off by a cent',
    caughtBy: 'amounts-add-up',
    spoil: (plan) => bill(plan, { net: plan.takeOff.net + 0.01, priceTotal: plan.takeOff.priceTotal + 0.01 }),
  },
  {
    what: 'a total off by a cent',
    caughtBy: 'amounts-add-up',
    spoil: (plan) => bill(plan, { priceTotal: plan.takeOff.priceTotal - 0.01 }),
  },
  {
    what: 'tax at another rate than it says',
    caughtBy: 'amounts-add-up',
    spoil: (plan) => bill(plan, { taxPct: (plan.takeOff.taxPct ?? 0) + 1 }),
  },
];

/** With one route changed. */
function withRoute(plan: AuditInput, index: number, change: Partial<Route>): AuditInput {
  const route = { ...plan.route.routes[index], ...change };
  return { ...plan, route: { ...plan.route, routes: plan.route.routes.with(index, route) } };
}

/** With vertices of one route elsewhere, its chainage and length measured afresh. */
function relaid(plan: AuditInput, index: number, line: Polyline, spans?: readonly Span[]): AuditInput {
  const { signalUnit, id, spans: own } = plan.route.routes[index];
  return withRoute(plan, index, { ...routeOf(line, spans ?? own), signalUnit, id });
}

function vertexTo(plan: AuditInput, index: number, vertex: number, { x, y }: PlanePoint): AuditInput {
  const line = plan.route.routes[index].line.slice();
  line.set([x, y], 2 * vertex);
  return relaid(plan, index, line);
}

type Vertex = { readonly route: number; readonly vertex: number; readonly x: number; readonly y: number };

/** The vertices of a kind of wire, without the ends of its stretches, where leads join. */
function verticesOf({ route }: AuditInput, of: Span['of']): Vertex[] {
  return route.routes.flatMap(({ line, spans }, index) =>
    spans
      .filter((span) => span.of === of)
      .flatMap(({ firstVertex, lastVertex }) =>
        Array.from({ length: Math.max(0, lastVertex - firstVertex - 1) }, (_, k) => {
          const vertex = firstVertex + 1 + k;
          return { route: index, vertex, x: line[2 * vertex], y: line[2 * vertex + 1] };
        }),
      ),
  );
}

/** The first of the vertices that lies at its least distance from one of the edges, and the nearest place of that edge. */
function atLimit(
  vertices: readonly Vertex[],
  rings: readonly { readonly ring: Polyline; readonly offsetsM: ArrayLike<number> }[],
): { readonly at: Vertex; readonly foot: PlanePoint; readonly offsetM: number } | undefined {
  for (const at of vertices) {
    for (const { ring, offsetsM } of rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const j = (i + 2) % ring.length;
        const [dx, dy] = [ring[j] - ring[i], ring[j + 1] - ring[i + 1]];
        const t = parameterOnSegment(at.x, at.y, ring[i], ring[i + 1], ring[j], ring[j + 1]);
        const foot = { x: ring[i] + t * dx, y: ring[i + 1] + t * dy };
        const awayM = Math.hypot(foot.x - at.x, foot.y - at.y);
        if (t > 0 && t < 1 && Math.abs(awayM - offsetsM[i / 2]) < 1e-4) return { at, foot, offsetM: awayM };
      }
    }
  }
  return undefined;
}

function towards(plan: AuditInput, found: ReturnType<typeof atLimit>, byM: number): AuditInput | undefined {
  if (found === undefined) return undefined;
  const { at, foot, offsetM } = found;
  const share = byM / offsetM;
  return vertexTo(plan, at.route, at.vertex, {
    x: at.x + (foot.x - at.x) * share,
    y: at.y + (foot.y - at.y) * share,
  });
}

function vertexOutward(plan: AuditInput, byM: number): AuditInput | undefined {
  const rings = plan.edges.flatMap(({ outer, holes }) => [outer, ...holes]);
  return towards(plan, atLimit(verticesOf(plan, 'boundary'), rings), byM);
}

function wiredKeepOuts({ lawn, loops }: AuditInput): KeepOut[] {
  return lawn.keepOuts.filter(({ id, discs }) => discs.length === 0 && !loops.bumped.includes(id));
}

function keepOutInward(plan: AuditInput): AuditInput | undefined {
  const rings = wiredKeepOuts(plan).flatMap(({ polygons, offsetM }) =>
    polygons.map(({ outer }) => ({ ring: outer, offsetsM: new Float64Array(outer.length / 2).fill(offsetM) })),
  );
  return towards(plan, atLimit(verticesOf(plan, 'keep-out'), rings), 0.005);
}

function withKeepOut(plan: AuditInput, { x, y }: PlanePoint): AuditInput {
  const keepOut: KeepOut = {
    id: 'keep-out-forgotten',
    feature: { kind: 'keep-out', pointer: '/features/0' },
    polygons: [squareAt(x, y)],
    discs: [],
    offsetM: 0.1,
  };
  return { ...plan, lawn: { ...plan.lawn, keepOuts: [...plan.lawn.keepOuts, keepOut] } };
}

function squareAt(x: number, y: number): Polygon {
  return { outer: rectangle(x - 0.1, y - 0.1, x + 0.1, y + 0.1), holes: [] };
}

function keepOutOnWire(plan: AuditInput): AuditInput | undefined {
  const [first] = verticesOf(plan, 'boundary');
  return first && withKeepOut(plan, first);
}

/** A thing 0.7 m inside the boundary wire that nobody has laid a loop around. */
function keepOutWithoutLoop(plan: AuditInput): AuditInput | undefined {
  const straight = longestStraight(plan);
  return straight && withKeepOut(plan, straight.place(0.5, 0.7));
}

function keepOutReversed(plan: AuditInput): AuditInput | undefined {
  const found = spanOf(plan, (span, { line }) => {
    const [first, last] = [2 * span.firstVertex, 2 * span.lastVertex];
    return span.of === 'keep-out' && line[first] === line[last] && line[first + 1] === line[last + 1];
  });
  if (found === undefined) return undefined;
  const { firstVertex, lastVertex } = found.span;
  const line = plan.route.routes[found.route].line.slice();
  for (let i = firstVertex, j = lastVertex; i <= lastVertex; i++, j--) {
    line.set(plan.route.routes[found.route].line.subarray(2 * j, 2 * j + 2), 2 * i);
  }
  return relaid(plan, found.route, line);
}

function spanOf(
  { route }: AuditInput,
  suits: (span: Span, route: Route) => boolean,
): { readonly route: number; readonly span: Span } | undefined {
  for (const [index, each] of route.routes.entries()) {
    const span = each.spans.find((candidate) => suits(candidate, each));
    if (span !== undefined) return { route: index, span };
  }
  return undefined;
}

function routeReversed(plan: AuditInput): AuditInput {
  const { line, spans } = plan.route.routes[0];
  const last = line.length / 2 - 1;
  const turned = Float64Array.from({ length: line.length }, (_, i) => line[2 * (last - (i >> 1)) + (i & 1)]);
  const back = spans.toReversed().map((span) => ({
    ...span,
    firstVertex: last - span.lastVertex,
    lastVertex: last - span.firstVertex,
  }));
  return relaid(plan, 0, turned, back);
}

function areaGrown(plan: AuditInput): AuditInput {
  const { workingArea } = plan.loops;
  const [first] = workingArea;
  const outer = first.outer.map((metre, i) => {
    const middle =
      first.outer.reduce((sum, each, k) => (k % 2 === i % 2 ? sum + each : sum), 0) / (first.outer.length / 2);
    return middle + (metre - middle) * 1.05;
  });
  return { ...plan, loops: { ...plan.loops, workingArea: workingArea.with(0, { ...first, outer }) } };
}

function holeForgotten(plan: AuditInput): AuditInput | undefined {
  const { workingArea } = plan.loops;
  const index = workingArea.findIndex(({ holes }) => holes.length > 0);
  if (index < 0) return undefined;
  const filled = { ...workingArea[index], holes: workingArea[index].holes.slice(1) };
  return { ...plan, loops: { ...plan.loops, workingArea: workingArea.with(index, filled) } };
}

function lawnAreaOff(plan: AuditInput): AuditInput {
  return { ...plan, lawn: { ...plan.lawn, areaM2: plan.lawn.areaM2 + 0.01 } };
}

function zoneAreaOff(plan: AuditInput): AuditInput | undefined {
  const [first, ...others] = plan.zones.zones;
  if (first === undefined) return undefined;
  return { ...plan, zones: { ...plan.zones, zones: [{ ...first, areaM2: first.areaM2 + 0.001 }, ...others] } };
}

/** With one more square of 0.2 m in the site, which no stage has heard of. */
function withThing(plan: AuditInput, kind: SiteKind, { x, y }: PlanePoint): AuditInput {
  const shape = { type: 'area', polygons: [squareAt(x, y)] } as const;
  const thing = { kind, pointer: `/features/${plan.site.features.length}`, shape };
  return { ...plan, site: { ...plan.site, features: [...plan.site.features, thing] } };
}

function thingForgotten(plan: AuditInput): AuditInput | undefined {
  const straight = longestStraight(plan);
  return straight && withThing(plan, 'obstacle', straight.place(0.5, 0.7));
}

function builtOver(plan: AuditInput): AuditInput | undefined {
  const [first] = verticesOf(plan, 'boundary');
  return first && withThing(plan, 'building', first);
}

/** Under the middle of a lead that does not run over a crossing there. */
function pavedLead(plan: AuditInput): AuditInput | undefined {
  const middles = plan.route.leads.map(({ line: [ax, ay, bx, by] }) => ({ x: (ax + bx) / 2, y: (ay + by) / 2 }));
  const place = middles.find(({ x, y }) => !plan.lawn.crossings.some((crossing) => pointInPolygon(crossing, x, y)));
  return place && withThing(plan, 'paving', place);
}

function withEdges(plan: AuditInput, change: (ring: EdgeRing) => EdgeRing): AuditInput {
  const edges = plan.edges.map(({ outer, holes }) => ({ outer: change(outer), holes: holes.map(change) }));
  return { ...plan, edges };
}

function waterBeyond(plan: AuditInput): AuditInput {
  return withEdges(plan, (ring) => ({ ...ring, beyond: ring.beyond.map(() => 'water' as const) }));
}

/** Two edges become one straight one. */
function edgesForgotten(plan: AuditInput): AuditInput {
  const [first, ...others] = plan.edges;
  const { ring, beyond, offsetsM, from } = first.outer;
  const outer = {
    ring: ring.slice(2),
    beyond: beyond.slice(1),
    offsetsM: offsetsM.slice(1),
    from: from.slice(1),
  };
  return { ...plan, edges: [{ ...first, outer }, ...others] };
}

/** The way back along a lead, the places where it leaves its loops included, 0.2 m beside the way out. */
function leadApart(plan: AuditInput): AuditInput | undefined {
  const walked = new Set<string>();
  const found = spanOf(plan, (span) => {
    if (span.of !== 'lead') return false;
    if (walked.has(span.id)) return true;
    walked.add(span.id);
    return false;
  });
  if (found === undefined) return undefined;
  const { firstVertex, lastVertex } = found.span;
  const line = plan.route.routes[found.route].line.slice();
  const [dx, dy] = [line[2 * lastVertex] - line[2 * firstVertex], line[2 * lastVertex + 1] - line[2 * firstVertex + 1]];
  const lengthM = Math.hypot(dx, dy);
  for (let vertex = firstVertex; vertex <= lastVertex; vertex++) {
    line[2 * vertex] -= (0.2 * dy) / lengthM;
    line[2 * vertex + 1] += (0.2 * dx) / lengthM;
  }
  return relaid(plan, found.route, line);
}

function leadUnwalked(plan: AuditInput): AuditInput | undefined {
  const found = spanOf(plan, (span) => span.of === 'lead');
  if (found === undefined) return undefined;
  const spans = plan.route.routes[found.route].spans.map((span) =>
    span.of === 'lead' ? { ...span, of: 'boundary' as const } : span,
  );
  return withRoute(plan, found.route, { spans });
}

function leadShort(plan: AuditInput): AuditInput | undefined {
  const [lead] = plan.route.leads;
  if (lead === undefined) return undefined;
  const line = lead.line.slice();
  const end = line.length - 2;
  line[end] += (line[end - 2] - line[end]) * 0.1;
  line[end + 1] += (line[end - 1] - line[end + 1]) * 0.1;
  const short: Lead = { ...lead, line };
  return { ...plan, route: { ...plan.route, leads: plan.route.leads.with(0, short) } };
}

type Straight = {
  readonly route: number;
  readonly vertex: number;
  /** A place at a share of the stretch, so far to its left. */
  place(share: number, leftM: number): PlanePoint;
};

/** The longest straight stretch of boundary wire. */
function longestStraight({ route }: AuditInput): Straight | undefined {
  let longest: (Straight & { readonly lengthM: number }) | undefined;
  for (const [index, { line, spans }] of route.routes.entries()) {
    for (const { of, firstVertex, lastVertex } of spans) {
      for (let vertex = firstVertex; of === 'boundary' && vertex < lastVertex; vertex++) {
        const [ax, ay, bx, by] = line.subarray(2 * vertex, 2 * vertex + 4);
        const lengthM = Math.hypot(bx - ax, by - ay);
        if (longest !== undefined && longest.lengthM >= lengthM) continue;
        longest = {
          route: index,
          vertex,
          lengthM,
          place: (share, leftM) => ({
            x: ax + share * (bx - ax) - (leftM * (by - ay)) / lengthM,
            y: ay + share * (by - ay) + (leftM * (bx - ax)) / lengthM,
          }),
        };
      }
    }
  }
  return longest;
}

/** Places put into the longest straight stretch. */
function withDetour(
  plan: AuditInput,
  straight: Straight | undefined,
  places: readonly (readonly [share: number, leftM: number])[],
): AuditInput | undefined {
  if (straight === undefined) return undefined;
  const { line, spans } = plan.route.routes[straight.route];
  const detour = places.flatMap(([share, leftM]) => {
    const { x, y } = straight.place(share, leftM);
    return [x, y];
  });
  const cut = 2 * straight.vertex + 2;
  const longer = Float64Array.from([...line.subarray(0, cut), ...detour, ...line.subarray(cut)]);
  const later = (vertex: number): number => (vertex > straight.vertex ? vertex + places.length : vertex);
  const moved = spans.map((span) => ({
    ...span,
    firstVertex: later(span.firstVertex),
    lastVertex: later(span.lastVertex),
  }));
  return relaid(plan, straight.route, longer, moved);
}

function finger(plan: AuditInput, deepM: number): AuditInput | undefined {
  const straight = longestStraight(plan);
  if (straight === undefined) return undefined;
  const [from, to] = [straight.place(0, 0), straight.place(1, 0)];
  const share = 0.15 / Math.hypot(to.x - from.x, to.y - from.y);
  return withDetour(plan, straight, [
    [0.5 - share, 0],
    [0.5 - share, -deepM],
    [0.5 + share, -deepM],
    [0.5 + share, 0],
  ]);
}

function spike(plan: AuditInput, { chamferLegM }: Rules): AuditInput | undefined {
  const straight = longestStraight(plan);
  if (straight === undefined || chamferLegM === 0) return undefined;
  const [from, to] = [straight.place(0, 0), straight.place(1, 0)];
  const share = 0.15 / Math.hypot(to.x - from.x, to.y - from.y);
  return withDetour(plan, straight, [
    [0.5 - share, 0],
    [0.5, -0.5],
    [0.5 + share, 0],
  ]);
}

/** The first of two vertices of a cut corner goes on to where the edges beside the cut meet. */
function cornerUncut(plan: AuditInput, { chamferLegM }: Rules): AuditInput | undefined {
  if (chamferLegM === 0) return undefined;
  const vertices = verticesOf(plan, 'boundary');
  for (let k = 1; k + 2 < vertices.length; k++) {
    const [before, at, next, after] = vertices.slice(k - 1, k + 3);
    if (after.route !== before.route || after.vertex !== before.vertex + 3) continue;
    const [ex, ey, fx, fy] = [at.x - before.x, at.y - before.y, after.x - next.x, after.y - next.y];
    const sine = (ex * fy - ey * fx) / (Math.hypot(ex, ey) * Math.hypot(fx, fy));
    if (sine < 0.9) continue;
    const share = ((next.x - at.x) * fy - (next.y - at.y) * fx) / (ex * fy - ey * fx);
    return vertexTo(plan, at.route, at.vertex, { x: at.x + share * ex, y: at.y + share * ey });
  }
  return undefined;
}

function knot(plan: AuditInput): AuditInput | undefined {
  return withDetour(plan, longestStraight(plan), [
    [0.7, 0.1],
    [0.3, 0.1],
  ]);
}

function noWireUnder(plan: AuditInput): AuditInput | undefined {
  const [first] = verticesOf(plan, 'boundary');
  return first && { ...plan, lawn: { ...plan.lawn, noWire: [...plan.lawn.noWire, squareAt(first.x, first.y)] } };
}

function routeOpen(plan: AuditInput): AuditInput {
  const { line } = plan.route.routes[0];
  const last = line.length / 2 - 1;
  return vertexTo(plan, 0, last, { x: line[2 * last] + 0.001, y: line[2 * last + 1] });
}

function stationBeside(plan: AuditInput): AuditInput {
  const { stations } = plan.stations;
  const [first] = stations;
  const beside = { ...first, at: { x: first.at.x, y: first.at.y + 0.1 } };
  return { ...plan, stations: { ...plan.stations, stations: stations.with(0, beside) } };
}

function routeLonger(plan: AuditInput): AuditInput {
  return withRoute(plan, 0, { lengthM: plan.route.routes[0].lengthM + 0.001 });
}

function chainageShifted(plan: AuditInput): AuditInput {
  const { chainageM } = plan.route.routes[0];
  return withRoute(plan, 0, { chainageM: Float64Array.of(0, ...chainageM.subarray(0, -1)) });
}

function spanMissing(plan: AuditInput): AuditInput {
  return withRoute(plan, 0, { spans: plan.route.routes[0].spans.slice(0, -1) });
}

function notANumber(plan: AuditInput): AuditInput {
  const vertex = Math.floor(plan.route.routes[0].line.length / 4);
  return vertexTo(plan, 0, vertex, { x: Number.NaN, y: 0 });
}

function loopUnwalked(plan: AuditInput): AuditInput {
  const { loops } = plan.loops;
  const [first] = loops;
  const { x, y } = plan.stations.stations[0].at;
  const ring = rectangle(x, y, x + 1, y + 1);
  const arrangement = { kind: 'own-loop', wireM: 4, costM: 4 } as const;
  const extra: Loop = { ...first, id: 'keep-out-loop-forgotten', kind: 'keep-out', arrangement, ring, lengthM: 4 };
  return { ...plan, loops: { ...plan.loops, loops: [...loops, extra] } };
}

function withPegs(plan: AuditInput, change: Partial<SettingOut>): AuditInput {
  return { ...plan, settingOut: { ...plan.settingOut, ...change } };
}

/** Every peg says the chainage of the next one. */
function pegChainages(plan: AuditInput): AuditInput {
  const { pegs } = plan.settingOut;
  return withPegs(plan, {
    pegs: pegs.map((peg, i) => ({ ...peg, chainageM: pegs[(i + 1) % pegs.length].chainageM })),
  });
}

function withPeg(plan: AuditInput, change: (peg: Peg) => Partial<Peg>): AuditInput {
  const { pegs } = plan.settingOut;
  const middle = pegs.length >> 1;
  return withPegs(plan, { pegs: pegs.with(middle, { ...pegs[middle], ...change(pegs[middle]) }) });
}

function pegBeside(plan: AuditInput): AuditInput {
  return withPeg(plan, ({ at }) => ({ at: { x: at.x + 0.002, y: at.y } }));
}

function pegBeyond(plan: AuditInput): AuditInput {
  const longestM = Math.max(...plan.route.routes.map(({ lengthM }) => lengthM));
  return withPeg(plan, () => ({ chainageM: longestM + 1 }));
}

function pegElsewhere(plan: AuditInput): AuditInput {
  return withPeg(plan, () => ({ signalUnit: plan.route.routes.length + 1 }));
}

function pegsHalved(plan: AuditInput): AuditInput {
  return withPegs(plan, { pegs: plan.settingOut.pegs.filter((_, i) => i % 2 === 0) });
}

/** Without the peg inside a stretch of loop that the straight wire between its neighbours misses most. */
function cornerUnpegged(plan: AuditInput): AuditInput | undefined {
  const pegs = plan.settingOut.pegs.toSorted((a, b) => a.signalUnit - b.signalUnit || a.chainageM - b.chainageM);
  const corners = plan.route.routes.flatMap(({ signalUnit, spans, chainageM }) =>
    spans.flatMap(({ of, firstVertex, lastVertex }) => {
      const [fromM, toM] = [chainageM[firstVertex], chainageM[lastVertex]];
      const own = pegs.filter((peg) => peg.signalUnit === signalUnit && peg.chainageM >= fromM && peg.chainageM <= toM);
      const inner = of === 'lead' ? [] : own.slice(1, -1);
      return inner.map((peg, k) => {
        const [{ at: a }, { at: b }] = [own[k], own[k + 2]];
        return { peg, missedM: pointSegmentM(peg.at.x, peg.at.y, a.x, a.y, b.x, b.y) };
      });
    }),
  );
  const [sharpest] = corners.toSorted((a, b) => b.missedM - a.missedM);
  return sharpest && withPegs(plan, { pegs: pegs.filter((peg) => peg !== sharpest.peg) });
}

function jointUnpegged(plan: AuditInput): AuditInput | undefined {
  const [lead] = plan.route.leads;
  if (lead === undefined) return undefined;
  const [x, y] = lead.line;
  return withPegs(plan, { pegs: plan.settingOut.pegs.filter(({ at }) => Math.hypot(at.x - x, at.y - y) > 1e-3) });
}

function trialPegsMissing(plan: AuditInput): AuditInput {
  return withPegs(plan, { pegs: plan.settingOut.pegs.map((peg) => ({ ...peg, pass: 'final' })) });
}

function spliceMissing(plan: AuditInput): AuditInput | undefined {
  const { splices } = plan.settingOut;
  return splices.length === 0 ? undefined : withPegs(plan, { splices: splices.slice(1) });
}

function spoolMissing(plan: AuditInput): AuditInput {
  const { spools, spoolCount } = plan.settingOut;
  return withPegs(plan, { spools: spools.slice(0, -1), spoolCount: spoolCount - 1 });
}

/** A spool that holds a metre less than what comes off it. */
function spoolShort(plan: AuditInput, { endSpareM, reservePct }: Rules): AuditInput {
  const { spools } = plan.settingOut;
  const [{ fromM, toM }] = spools[0].lays;
  const usedM = (toM - fromM + endSpareM) * (1 + reservePct / 100);
  return withPegs(plan, { spools: spools.with(0, { ...spools[0], lengthM: usedM - 1 }) });
}

function bill(plan: AuditInput, change: Partial<TakeOff>): AuditInput {
  return { ...plan, takeOff: { ...plan.takeOff, ...change } };
}

function wireShort(plan: AuditInput, { endSpareM }: Rules): AuditInput {
  const routesM = plan.route.routes.reduce((sum, { lengthM }) => sum + lengthM, 0);
  return bill(plan, {
    lines: plan.takeOff.lines.map((line) => (line.code === 'wire' ? { ...line, quantity: routesM + endSpareM } : line)),
  });
}

function pegLess(plan: AuditInput): AuditInput {
  const lines = plan.takeOff.lines.map((line) =>
    line.code === 'peg' ? { ...line, quantity: line.quantity - 1 } : line,
  );
  return bill(plan, { lines });
}

function amountOff(plan: AuditInput): AuditInput {
  const { lines } = plan.takeOff;
  return bill(plan, { lines: lines.with(0, { ...lines[0], amount: lines[0].amount + 0.01 }) });
}
