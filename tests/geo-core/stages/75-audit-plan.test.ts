/* Long because every check is met by plans that pass and plans that must not. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { EdgeRing, KeepOut, Route } from '#geo-core/model/plane-plan.ts';
import type { SiteKind } from '#geo-core/model/site.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { type AuditInput, auditPlan } from '#geo-core/stages/75-audit-plan.ts';
import { goldenGarden, goldenRules, pegsOf, placeAt, rectangle, ring, routeOf } from '../../support/golden-garden.ts';

const published = JSON.parse(readFileSync(new URL('../../../fixtures/reference/golden.json', import.meta.url), 'utf8'))
  .case_g1.expected;

function failedChecks(garden: AuditInput, rules = goldenRules): string[] {
  return auditPlan(garden, rules)
    .output.checks.filter((check) => !check.passed)
    .map((check) => check.code);
}

/** The island as a round tree of the given radius in its middle. */
function roundIsland(garden: AuditInput, radiusM: number): AuditInput {
  const island = { ...garden.lawn.keepOuts[0], discs: [{ x: 10, y: 5, radiusM }], polygons: [] };
  return { ...garden, lawn: { ...garden.lawn, keepOuts: [island] } };
}

function withRoute(garden: AuditInput, change: Partial<Route>): AuditInput {
  return { ...garden, route: { ...garden.route, routes: [{ ...garden.route.routes[0], ...change }] } };
}

/** The same garden with vertices of the route elsewhere, chainage and length measured afresh. */
function moved(garden: AuditInput, vertices: Readonly<Record<number, readonly [number, number]>>): AuditInput {
  const { line, spans } = garden.route.routes[0];
  const other = line.slice();
  for (const [vertex, place] of Object.entries(vertices)) other.set(place, Number(vertex) * 2);
  return withRoute(garden, routeOf(other, spans));
}

function withKeepOut(garden: AuditInput, keepOut: Partial<KeepOut>): AuditInput {
  const other: KeepOut = { ...garden.lawn.keepOuts[0], id: 'keep-out-2', ...keepOut };
  return { ...garden, lawn: { ...garden.lawn, keepOuts: [...garden.lawn.keepOuts, other] } };
}

describe('the golden garden', () => {
  const garden = goldenGarden();

  test('is the published case: lengths, and the signed area of the one wire is the working area', () => {
    const [route] = garden.route.routes;
    expect(route.lengthM).toBeCloseTo(published.wire_total_m, 9);
    expect(garden.route.leads[0].lengthM).toBeCloseTo(published.lead_one_way_m, 9);
    expect(garden.loops.loops.map((loop) => loop.lengthM)).toEqual([published.outer_loop_m, published.island_loop_m]);
    expect(ringAreaM2(route.line)).toBeCloseTo(published.signed_shoelace_area_of_wire_m2, 9);
  });

  test('passes every check, without a finding', () => {
    const { output, findings } = auditPlan(garden, goldenRules);
    expect(output.checks.filter((check) => !check.passed)).toEqual([]);
    expect(output.passed).toBe(true);
    expect(findings).toEqual([]);
  });

  test('passes with the island anywhere that leaves the least gap of 0.8 m to the boundary wire', () => {
    for (const bottomM of [1.4, 2.5, 4.8, 5.9]) expect(failedChecks(goldenGarden(bottomM))).toEqual([]);
  });

  test('passes when the island may be bumped into and has no loop, but only then', () => {
    const { loops, route, lawn } = garden;
    const outer = ring([5, 0.3], [19.7, 0.3], [19.7, 9.7], [0.3, 9.7], [0.3, 0.3], [5, 0.3]);
    const plain = routeOf(outer, [{ of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: 5 }]);
    const pegs = pegsOf(plain);
    const polygon = { ...loops.workingArea[0], holes: [] };
    const feature = { kind: 'obstacle', pointer: '/features/1', rigid: true, heightM: 0.5 } as const;
    const bumped: AuditInput = {
      ...garden,
      lawn: { ...lawn, keepOuts: [{ ...lawn.keepOuts[0], feature }] },
      loops: { ...loops, bumped: ['keep-out-1'], loops: [loops.loops[0]], workingArea: [polygon] },
      zones: { zones: [{ ...garden.zones.zones[0], polygons: [polygon], areaM2: 182.36 }], passages: [] },
      route: { ...route, leads: [], routes: [plain] },
      settingOut: {
        ...garden.settingOut,
        pegs,
        splices: [{ ...garden.settingOut.splices[0], chainageM: 40, at: placeAt(plain, 40) }],
        spools: [
          { ...garden.settingOut.spools[0], lays: [{ signalUnit: 1, fromM: 0, toM: 40 }] },
          { ...garden.settingOut.spools[1], lays: [{ signalUnit: 1, fromM: 40, toM: plain.lengthM }] },
        ],
      },
      takeOff: {
        ...garden.takeOff,
        lines: garden.takeOff.lines.map((line) => (line.code === 'peg' ? { ...line, quantity: pegs.length } : line)),
      },
    };
    expect(failedChecks(bumped, { ...goldenRules, bumpHeightM: 0.5 })).toEqual([]);
    expect(failedChecks(bumped, { ...goldenRules, bumpHeightM: 0.6 })).toEqual(['winding']);
    expect(failedChecks(bumped, { ...goldenRules, bumpHeightM: null })).toEqual(['winding']);
  });

  test('passes around a tree of 1 m radius, measured as a circle', () => {
    expect(failedChecks(roundIsland(garden, 1))).toEqual([]);
    expect(failedChecks(roundIsland(garden, 1.001))).toEqual(['keep-out-kept']);
  });

  test('passes as a lawn of its own beside another: a wall hides the edge of the neighbouring ground', () => {
    const other = rectangle(0, -10, 20, -0.1);
    const edges = { ...garden.edges[0].outer, ring: other, offsetsM: Float64Array.of(0.3, 0.3, 1, 0.3) };
    const beside: AuditInput = {
      ...garden,
      edges: [...garden.edges, { outer: edges, holes: [] }],
      lawn: { ...garden.lawn, ground: [...garden.lawn.ground, { outer: other, holes: [] }] },
    };
    expect(failedChecks(beside)).toEqual([]);
  });

  test('lets a wire round a thin spike of other ground look past its tip, but not into a thin finger', () => {
    const spike = ring(
      [5, 0.3],
      [19.7, 0.3],
      [19.7, 9.7],
      [5.1, 9.7],
      [5.1, 6.1],
      [4.9, 6.1],
      [4.9, 9.7],
      [0.3, 9.7],
      [0.3, 0.3],
      [5, 0.3],
    );
    const span = { of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: 9 } as const;
    expect(failedChecks(withRoute(garden, routeOf(spike, [span])))).not.toContain('wires-apart');
    expect(failedChecks(finger(garden, 0.2))).toContain('wires-apart');
  });

  test('may have a nook less than half a gap deep, but no finger of more', () => {
    expect(failedChecks(finger(garden, 0.3, 0.35))).not.toContain('wires-apart');
    expect(failedChecks(finger(garden, 0.3, 0.5))).toContain('wires-apart');
  });

  test('with nothing planned passes with nothing to check', () => {
    const empty: AuditInput = {
      ...garden,
      lawn: { ...garden.lawn, lawn: [], ground: [], keepOuts: [], areaM2: 0 },
      edges: [],
      loops: { workingArea: [], loops: [], bays: [], bumped: [], steep: [] },
      zones: { zones: [], passages: [] },
      stations: { stations: [], candidates: [] },
      route: { leads: [], routes: [] },
      settingOut: { pegs: [], splices: [], spoolCount: 0, stretches: [], parts: [], spools: [] },
      takeOff: { ...garden.takeOff, lines: [], subtotal: 0, net: 0, taxes: [], tax: 0, priceTotal: 0 },
    };
    const { output } = auditPlan(empty, goldenRules);
    expect(output.passed).toBe(true);
    expect(output.checks.map((check) => check.worst)).toEqual(output.checks.map(() => 0));
  });
});

describe('a plan made wrong on purpose is caught', () => {
  const garden = goldenGarden();
  const [route] = garden.route.routes;
  const { settingOut, takeOff } = garden;
  const corruptions: readonly (readonly [what: string, caughtBy: string, plan: AuditInput])[] = [
    ['a boundary corner 5 mm nearer to the edge', 'offset-kept', moved(garden, { 10: [19.705, 9.7] })],
    ['a boundary corner 0.2 mm nearer to the edge', 'offset-kept', moved(garden, { 10: [19.7, 9.7002] })],
    ['a keep-out corner 5 mm nearer to the island', 'keep-out-kept', moved(garden, { 4: [8.705, 6.3] })],
    ['a wire across the neighbour', 'on-lawn', moved(garden, { 10: [20.4, 9.7] })],
    ['a wire over a slit of 2 cm in the lawn', 'on-lawn', slit(garden)],
    ['a wire through ground where nothing may be laid', 'off-no-wire-ground', noWire(garden, [15, 9, 16, 9.8])],
    ['a lead through ground where nothing may be laid', 'off-no-wire-ground', noWire(garden, [9.9, 2, 10.1, 2.2])],
    ['a keep-out laid the wrong way round', 'winding', reorder(garden, [0, 1, 2, 6, 5, 4, 3, 7, 8, 9, 10, 11, 12, 13])],
    [
      'a keep-out laid the wrong way round',
      'field-sign',
      reorder(garden, [0, 1, 2, 6, 5, 4, 3, 7, 8, 9, 10, 11, 12, 13]),
    ],
    ['the whole route laid clockwise', 'field-sign', reorder(garden, [13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0])],
    ['the whole route laid clockwise', 'winding', reorder(garden, [13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0])],
    [
      'an island without a loop',
      'winding',
      withKeepOut(garden, { polygons: [{ outer: rectangle(3, 3, 4, 4), holes: [] }] }),
    ],
    [
      'an island grown over its loop',
      'keep-out-kept',
      withKeepOut(garden, { polygons: [{ outer: rectangle(8, 4, 9, 5), holes: [] }] }),
    ],
    [
      'a lead through an island',
      'keep-out-kept',
      withKeepOut(garden, { polygons: [{ outer: rectangle(9.9, 2, 10.1, 2.2), holes: [] }], offsetM: 0 }),
    ],
    ['a working area larger than the wire', 'winding', workingArea(garden, rectangle(0.2, 0.3, 19.7, 9.7))],
    ['a working area that is forgotten', 'areas-add-up', { ...garden, loops: { ...garden.loops, workingArea: [] } }],
    ['an area of lawn off by a square metre', 'areas-add-up', { ...garden, lawn: { ...garden.lawn, areaM2: 201 } }],
    ['an area of a zone off by a thousandth', 'areas-add-up', zoneOf(garden, 175.601)],
    ['a lead over paving that nobody declared a crossing', 'on-given-ground', given(garden, 'paving', [9, 2, 11, 3])],
    ['a wire through a building', 'on-given-ground', given(garden, 'building', [15, 9, 16, 11])],
    ['a wire across the property line', 'on-given-ground', given(garden, 'parcel', [0, 0, 19.6, 10])],
    ['a tree of the site forgotten', 'winding', given(garden, 'tree', [3, 3, 3.2, 3.2])],
    ['a corner without a peg', 'pegs-hold-line', withoutPegAt(garden, 19.7, 9.7)],
    ['a joint with a lead without a peg', 'pegs-hold-line', withoutPegAt(garden, 10, 0.3)],
    ['a peg less than there are', 'pieces-add-up', withPieces(garden, 'peg')],
    ['a splice less than there are', 'pieces-add-up', withPieces(garden, 'splice')],
    ['an edge of the lawn forgotten', 'offset-kept', { ...garden, edges: [] }],
    [
      'an edge nearer than the rule says for what lies beyond',
      'offset-kept',
      beyond(garden, ['unknown', 'water', 'unknown', 'unknown']),
    ],
    ['a supply cable that nobody ordered', 'quantities-add-up', cable(garden)],
    ['the wires of a lead 0.2 m apart', 'field-sign', moved(garden, { 7: [10.2, 3.7], 8: [10.2, 0.3] })],
    ['the wires of a lead 0.2 m apart', 'leads-opposite', moved(garden, { 7: [10.2, 3.7], 8: [10.2, 0.3] })],
    ['a lead that the route does not walk', 'leads-opposite', relabelled(garden, 'lead', 'boundary')],
    ['a lead that ends short of its loop', 'leads-opposite', leadTo(garden, [10, 3.6])],
    ['loops 0.5 m apart', 'wires-apart', goldenGarden(1.1)],
    ['loops 0.797 m apart', 'wires-apart', goldenGarden(1.397)],
    ['a finger of working area too narrow to turn in', 'wires-apart', finger(garden, 0.6)],
    ['a wire that crosses itself', 'no-crossing', moved(garden, { 11: [12, 5], 12: [0.3, 9.7] })],
    ['a lead across a loop', 'no-crossing', moved(garden, { 2: [10, 6.6], 7: [10, 6.6] })],
    ['a route that does not close', 'route-closed', moved(garden, { 13: [4.999, 0.3] })],
    ['a station beside the wire', 'route-starts-at-station', station(garden, { x: 5, y: 0.4 })],
    ['a route without a station', 'route-starts-at-station', { ...garden, stations: { stations: [], candidates: [] } }],
    [
      'a chainage off by one',
      'lengths-add-up',
      withRoute(garden, { chainageM: Float64Array.of(0, ...route.chainageM.slice(0, -1)) }),
    ],
    ['a route 1 mm longer than it is', 'lengths-add-up', withRoute(garden, { lengthM: route.lengthM + 0.001 })],
    [
      'a route with a stretch that belongs to nothing',
      'lengths-add-up',
      withRoute(garden, { spans: route.spans.slice(0, -1) }),
    ],
    ['a route with a place that is not a number', 'lengths-add-up', moved(garden, { 10: [Number.NaN, 9.7] })],
    ['a loop that no route walks', 'lengths-add-up', extraLoop(garden)],
    [
      'a peg 2 mm off the line',
      'pegs-on-route',
      {
        ...garden,
        settingOut: {
          ...settingOut,
          pegs: settingOut.pegs.with(7, { ...settingOut.pegs[7], at: { x: 5.0, y: 0.302 } }),
        },
      },
    ],
    [
      'a peg beyond the end of the route',
      'pegs-on-route',
      {
        ...garden,
        settingOut: { ...settingOut, pegs: [...settingOut.pegs, { ...settingOut.pegs[0], chainageM: 75 }] },
      },
    ],
    [
      'a splice of another signal unit',
      'pegs-on-route',
      {
        ...garden,
        settingOut: { ...settingOut, splices: [...settingOut.splices, { ...settingOut.splices[0], signalUnit: 2 }] },
      },
    ],
    [
      'a peg forgotten on a loop',
      'peg-spacing',
      { ...garden, settingOut: { ...settingOut, pegs: settingOut.pegs.toSpliced(3, 1) } },
    ],
    [
      'the pegs of a lead forgotten',
      'peg-spacing',
      {
        ...garden,
        settingOut: {
          ...settingOut,
          pegs: settingOut.pegs.filter((peg) => peg.chainageM < 5.5 || peg.chainageM > 8.3),
        },
      },
    ],
    [
      'trial pegs 6 m apart',
      'peg-spacing',
      {
        ...garden,
        settingOut: {
          ...settingOut,
          pegs: settingOut.pegs.map((peg) =>
            peg.chainageM > 51 && peg.chainageM < 56 ? { ...peg, pass: 'final' } : peg,
          ),
        },
      },
    ],
    ['a missing splice', 'spools-cover', { ...garden, settingOut: { ...settingOut, splices: [] } }],
    ['a spool too few', 'spools-cover', { ...garden, settingOut: { ...settingOut, spoolCount: 1 } }],
    ['wire ordered without the spares', 'quantities-add-up', wireOrdered(garden, 74.8)],
    [
      'an amount off by a cent',
      'amounts-add-up',
      { ...garden, takeOff: { ...takeOff, lines: takeOff.lines.with(5, { ...takeOff.lines[5], amount: 130.01 }) } },
    ],
    [
      'a net sum off by a cent',
      'amounts-add-up',
      { ...garden, takeOff: { ...takeOff, net: 181.89, priceTotal: 216.45 } },
    ],
    ['a total off by a cent', 'amounts-add-up', { ...garden, takeOff: { ...takeOff, priceTotal: 216.43 } }],
    ['tax at another rate than it says', 'amounts-add-up', { ...garden, takeOff: { ...takeOff, taxPct: 20 } }],
  ];

  test.each(corruptions)('%s (%s)', (_what, caughtBy, plan) => {
    const { output, findings } = auditPlan(plan, goldenRules);
    expect(output.passed).toBe(false);
    expect(failedChecks(plan)).toContain(caughtBy);
    const [worst] = output.checks.filter((check) => !check.passed);
    expect(findings).toMatchObject([
      { code: 'audit-plan.failed', severity: 'stop', value: worst.worst, limit: worst.limit, unit: worst.unit },
    ]);
    expect(findings[0].message).toContain(caughtBy.replaceAll('-', ' '));
    expect(worst.worst).toBeGreaterThan(worst.limit);
  });

  test('by no check but its own where only one thing is wrong', () => {
    expect(failedChecks(goldenGarden(1.1))).toEqual(['wires-apart']);
    expect(failedChecks(noWire(garden, [15, 9, 16, 9.8]))).toEqual(['off-no-wire-ground']);
    expect(failedChecks(station(garden, { x: 5, y: 0.4 }))).toEqual(['route-starts-at-station']);
    expect(failedChecks(wireOrdered(garden, 74.8))).toEqual(['quantities-add-up', 'amounts-add-up']);
  });

  test('with advice by whose fault it is: a loop not joined, ground where nothing may be laid, the planner', () => {
    const adviceOn = (plan: AuditInput) => auditPlan(plan, goldenRules).findings[0].advice;
    const notJoined = { ...garden.loops.loops[0], id: 'boundary-2' };
    const lacking = { ...garden, loops: { ...garden.loops, loops: [...garden.loops.loops, notJoined] } };
    expect(adviceOn(lacking)).toContain('could not be joined');
    expect(adviceOn(noWire(garden, [15, 9, 16, 9.8]))).toContain('nothing may be laid');
    expect(adviceOn(wireOrdered(garden, 74.8))).toContain('not in the garden');
  });

  test('with the figure and the place: a corner 5 mm nearer is 5 mm short, there', () => {
    const check = auditPlan(moved(garden, { 10: [19.705, 9.7] }), goldenRules).output.checks.find(
      (each) => each.code === 'offset-kept',
    );
    expect(check?.worst).toBeCloseTo(0.005, 9);
    expect(check?.at?.x).toBeCloseTo(19.705, 9);
    expect(check?.at?.y).toBeCloseTo(9.7, 9);
  });
});

function zoneOf(garden: AuditInput, areaM2: number): AuditInput {
  return { ...garden, zones: { ...garden.zones, zones: [{ ...garden.zones.zones[0], areaM2 }] } };
}

/** The site as given, and one more thing. */
function given(garden: AuditInput, kind: SiteKind, box: readonly [number, number, number, number]): AuditInput {
  const polygons = [{ outer: rectangle(...box), holes: [] }];
  const more = { kind, pointer: '/features/2', shape: { type: 'area', polygons } } as const;
  return { ...garden, site: { ...garden.site, features: [...garden.site.features, more] } };
}

function withoutPegAt(garden: AuditInput, x: number, y: number): AuditInput {
  const pegs = garden.settingOut.pegs.filter(({ at }) => at.x !== x || at.y !== y);
  return { ...garden, settingOut: { ...garden.settingOut, pegs } };
}

function withPieces(garden: AuditInput, code: string): AuditInput {
  const lines = garden.takeOff.lines.map((line) =>
    line.code === code ? { ...line, quantity: line.quantity - 1 } : line,
  );
  return { ...garden, takeOff: { ...garden.takeOff, lines } };
}

function beyond(garden: AuditInput, said: EdgeRing['beyond']): AuditInput {
  return { ...garden, edges: [{ ...garden.edges[0], outer: { ...garden.edges[0].outer, beyond: said } }] };
}

function cable(garden: AuditInput): AuditInput {
  return { ...garden, stations: { ...garden.stations, supplyCable: Float64Array.of(5, 0.3, 5, -2) } };
}

function noWire(garden: AuditInput, [west, south, east, north]: readonly [number, number, number, number]): AuditInput {
  const polygon = { outer: rectangle(west, south, east, north), holes: [] };
  return { ...garden, lawn: { ...garden.lawn, noWire: [polygon] } };
}

/** A slit through the lawn on both sides of which the wire keeps no offset: only the wire over the slit is wrong. */
function slit(garden: AuditInput): AuditInput {
  const hole = ring([15, 9], [15, 9.9], [15.02, 9.9], [15.02, 9]);
  return { ...garden, lawn: { ...garden.lawn, ground: [{ ...garden.lawn.ground[0], holes: [hole] }] } };
}

function reorder(garden: AuditInput, order: readonly number[]): AuditInput {
  const { line, spans } = garden.route.routes[0];
  const walked = Float64Array.from(order.flatMap((vertex) => [line[vertex * 2], line[vertex * 2 + 1]]));
  return withRoute(garden, routeOf(walked, spans));
}

function workingArea(garden: AuditInput, outer: Float64Array): AuditInput {
  const [area] = garden.loops.workingArea;
  return { ...garden, loops: { ...garden.loops, workingArea: [{ ...area, outer }] } };
}

function relabelled(garden: AuditInput, from: 'lead', to: 'boundary'): AuditInput {
  const spans = garden.route.routes[0].spans.map((span) => (span.of === from ? { ...span, of: to } : span));
  return withRoute(garden, { spans });
}

function leadTo(garden: AuditInput, [x, y]: readonly [number, number]): AuditInput {
  const [lead] = garden.route.leads;
  const line = Float64Array.of(lead.line[0], lead.line[1], x, y);
  return { ...garden, route: { ...garden.route, leads: [{ ...lead, line, lengthM: y - lead.line[1] }] } };
}

/** The boundary wire turns up into a finger of the given width and back. */
function finger(garden: AuditInput, widthM: number, deepM = 1.7): AuditInput {
  const line = ring(
    [5, 0.3],
    [19.7, 0.3],
    [19.7, 9.7 - deepM],
    [5, 9.7 - deepM],
    [5, 9.7],
    [5 - widthM, 9.7],
    [5 - widthM, 9.7 - deepM],
    [0.3, 9.7 - deepM],
    [0.3, 0.3],
    [5, 0.3],
  );
  return withRoute(garden, routeOf(line, [{ of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: 9 }]));
}

function station(garden: AuditInput, at: { x: number; y: number }): AuditInput {
  const [only] = garden.stations.stations;
  return { ...garden, stations: { ...garden.stations, stations: [{ ...only, at }] } };
}

function extraLoop(garden: AuditInput): AuditInput {
  const { loops } = garden.loops;
  const extra = { ...loops[1], id: 'keep-out-loop-2', ring: ring([3, 3], [3, 4], [4, 4], [4, 3]), lengthM: 4 };
  return { ...garden, loops: { ...garden.loops, loops: [...loops, extra] } };
}

function wireOrdered(garden: AuditInput, quantity: number): AuditInput {
  const { lines } = garden.takeOff;
  return { ...garden, takeOff: { ...garden.takeOff, lines: lines.with(0, { ...lines[0], quantity }) } };
}
