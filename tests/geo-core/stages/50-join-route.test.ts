/* Long because every way of joining loops is a drawing with its length known beforehand. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { JoinedRoute, Loop, Route } from '#geo-core/model/plane-plan.ts';
import type { Ring } from '#geo-core/model/position.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { Piece } from '#geo-core/plane/chain.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { pointInRing, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { shortestPath } from '#geo-core/plane/shortest-path.ts';
import { type JoinRouteInput, joinRoute } from '#geo-core/stages/50-join-route.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import { goldenRules, rectangle, ring } from '../../support/golden-garden.ts';
import { ellipse, joinInput, polygonOf } from '../../support/joined-gardens.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const rules = RULE_SETS[0];
const sum = (lengths: readonly number[]): number => lengths.reduce((total, lengthM) => total + lengthM, 0);
const leadM = (route: JoinedRoute): number => sum(route.leads.map(({ lengthM }) => lengthM));

describe('the golden case: a lawn of 20 x 10 m with an island', () => {
  const g1 = golden.case_g1;
  const input = joinInput({
    ground: [polygonOf(rectangle(0, 0, 20, 10))],
    boundaries: [rectangle(0.3, 0.3, 19.7, 9.7)],
    keepOutLoops: [rectangle(8.7, 3.7, 11.3, 6.3)],
    keepOuts: [rectangle(9, 4, 11, 6)],
    stationAlongM: 0,
  });
  const joined = (): JoinedRoute => joinRoute(input, { ...goldenRules, stationStraightBeforeM: 0 }).output;

  test('one lead of 3.4 m, one route of 74.8 m', () => {
    const { leads, routes } = joined();
    expect(leads).toHaveLength(1);
    expect(Math.abs(leads[0].lengthM - g1.expected.lead_one_way_m)).toBeLessThan(g1.tolerance.length_m);
    expect(routes).toHaveLength(1);
    expect(Math.abs(routes[0].lengthM - g1.expected.wire_total_m)).toBeLessThan(g1.tolerance.length_m);
  });

  test('the closed path is the published one, vertex by vertex', () => {
    const path = g1.wire_path_one_closed_loop.flat();
    const walked = Array.from(joined().routes[0].line);
    expect(walked).toHaveLength(path.length + 2);
    for (const [k, value] of [...path, path[0], path[1]].entries()) expect(walked[k]).toBeCloseTo(value, 12);
  });

  test('the signed area of the wire is the net area of the lawn: the lead encloses nothing', () => {
    const area = ringAreaM2(joined().routes[0].line.slice(0, -2));
    expect(Math.abs(area - g1.expected.signed_shoelace_area_of_wire_m2)).toBeLessThan(g1.tolerance.area_m2);
  });

  test.each(g1.field_nT_per_A)('the winding number at ($x, $y) is $winding', ({ x, y, winding }) => {
    expect(windingNumber(joined().routes[0].line, x, y)).toBe(winding);
  });

  test('the lead appears as two spans and the spans cover every vertex in order', () => {
    const { spans } = joined().routes[0];
    expect(spans.map(({ id, firstVertex, lastVertex }) => [id, firstVertex, lastVertex])).toEqual([
      ['boundary-1', 0, 1],
      ['lead-1', 1, 2],
      ['keep-out-loop-1', 2, 7],
      ['lead-1', 7, 8],
      ['boundary-1', 8, 12],
    ]);
  });
});

describe('where leads attach', () => {
  const island = (stationAlongM: number): JoinRouteInput =>
    joinInput({
      ground: [polygonOf(rectangle(0, 0, 20, 10))],
      boundaries: [rectangle(0, 0, 20, 10)],
      keepOutLoops: [rectangle(9, 1, 11, 3)],
      stationAlongM,
    });

  test('a lead stays out of the straight wire at the station where another place is hardly farther', () => {
    // The stretch at the station reaches from x = 8.8 to 11.8: from its nearer end to 0.1 m off the island's corner.
    const [{ line }] = joinRoute(island(10.8), rules).output.leads;
    for (const [k, value] of [8.8, 0, 9.1, 1].entries()) expect(line[k]).toBeCloseTo(value, 12);
  });

  test('without a station there the lead stands square in the middle of the edge that faces it', () => {
    expect(Array.from(joinRoute(island(50), rules).output.leads[0].line)).toEqual([10, 0, 10, 1]);
  });

  test('a lead to a corner ends a hand’s breadth from it', () => {
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 40, 40))],
      boundaries: [ring([0, 0], [20, 0], [0, 20])],
      keepOutLoops: [ring([5, 5], [7, 6.9], [4.9, 7])],
      stationAlongM: 0,
    });
    const [lead] = joinRoute(input, rules).output.leads;
    const [endX, endY] = lead.line.slice(-2);
    const fromCornerM = Math.min(
      ...[
        [5, 5],
        [7, 6.9],
        [4.9, 7],
      ].map(([x, y]) => Math.sqrt((endX - x) * (endX - x) + (endY - y) * (endY - y))),
    );
    expect(fromCornerM).toBeGreaterThan(0.099_999);
  });

  test('the station is the first and the last vertex of the route', () => {
    const [route] = joinRoute(island(13), rules).output.routes;
    expect(Array.from(route.line.slice(0, 2))).toEqual([13, 0]);
    expect(Array.from(route.line.slice(-2))).toEqual([13, 0]);
  });
});

describe('networks', () => {
  test('two areas of a dumbbell hang together by a lead through the neck', () => {
    // Two squares of 10 m, a neck of 0.6 m between them: its wire was cut, the lead goes straight over 4.6 m.
    const ground = ring(
      [0, 0],
      [10, 0],
      [10, 4.7],
      [14, 4.7],
      [14, 0],
      [24, 0],
      [24, 10],
      [14, 10],
      [14, 5.3],
      [10, 5.3],
      [10, 10],
      [0, 10],
    );
    const input = joinInput({
      ground: [polygonOf(ground)],
      boundaries: [rectangle(0.3, 0.3, 9.7, 9.7), rectangle(14.3, 0.3, 23.7, 9.7)],
      stationAlongM: 4,
    });
    const { leads, routes } = joinRoute(input, rules).output;
    expect(leads.map(({ connects }) => connects)).toEqual([['boundary-1', 'boundary-2']]);
    expect(leads[0].lengthM).toBeCloseTo(4.6, 12);
    expect(routes[0].lengthM).toBeCloseTo(2 * 37.6 + 9.2, 9);
    expect(windingNumber(routes[0].line, 5, 5)).toBe(1);
    expect(windingNumber(routes[0].line, 19, 5)).toBe(1);
    expect(windingNumber(routes[0].line, 12, 5.1)).toBe(0);
  });

  test('a lead bends round two corners of a U: 8 + 2 √(1.1² + 2²)', () => {
    // The loops' lower corners point at the bends; the ends stand 0.1 m off them, on the lower sides.
    const u = ring([0, 0], [20, 0], [20, 15], [14, 15], [14, 6], [6, 6], [6, 15], [0, 15]);
    const input = joinInput({
      ground: [polygonOf(u)],
      boundaries: [rectangle(1, 8, 5, 14), rectangle(15, 8, 19, 14)],
      stationAlongM: 1,
    });
    const { leads } = joinRoute(input, rules).output;
    expect(leads[0].lengthM).toBeCloseTo(8 + 2 * Math.sqrt(1.1 * 1.1 + 4), 12);
    expect(Array.from(leads[0].line.slice(2, -2))).toEqual([6, 6, 14, 6]);
  });

  test('a lead may begin on another lead, and its two wires stay together on the proper side', () => {
    // Leads to both keep-outs would take 9.8 m. With a branch: from the two ends 5 m apart, 4.6 m beside the third one,
    // 4.6 + 2.5 √3, a hand's breadth off all corners.
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 60, 40))],
      boundaries: [ring([0, 0], [29.7, 0], [29.7, 5], [30.3, 5], [30.3, 0], [60, 0], [60, 40], [0, 40])],
      keepOutLoops: [rectangle(29.7, 10, 30.3, 14), rectangle(34.8, 7.3, 36, 7.7)],
      stationAlongM: 10,
    });
    const { leads, routes } = joinRoute(input, rules).output;
    expect(leads.map(({ connects }) => connects)).toEqual([
      ['boundary-1', 'keep-out-loop-2'],
      ['lead-1', 'keep-out-loop-1'],
    ]);
    expect(leadM({ leads, routes })).toBeCloseTo(4.6 + 2.5 * Math.sqrt(3), 6);
    // The branch lies left of the way out: its turn comes first.
    expect(routes[0].spans.map(({ id }) => id)).toEqual([
      'boundary-1',
      'lead-1',
      'lead-2',
      'keep-out-loop-1',
      'lead-2',
      'lead-1',
      'keep-out-loop-2',
      'lead-1',
      'boundary-1',
    ]);
    expectSound(input, { leads, routes });
  });

  test('wire laid along the very edge of the ground can be joined too', () => {
    const waist = ring([0, 0], [10, 0], [12, 4], [14, 0], [24, 0], [24, 10], [14, 10], [12, 6], [10, 10], [0, 10]);
    const input = joinInput({
      ground: [polygonOf(waist)],
      // Half a step of the grid (0.005 mm) off the edge, as rounding leaves it.
      boundaries: [
        ring([0, -5e-6], [10, -5e-6], [11, 2], [11, 8], [10, 10.000005], [0, 10.000005]),
        ring([13, 2], [14, -5e-6], [24, -5e-6], [24, 10.000005], [14, 10.000005], [13, 8]),
      ],
      stationAlongM: 4,
    });
    const { output, findings } = joinRoute(input, rules);
    expect(findings).toEqual([]);
    expect(leadM(output)).toBeCloseTo(2, 9);
  });

  test('a tree that needs no loop is gone round all the same: the lead bends at its corners', () => {
    // Half a metre of trunk in the way of the shortest lead; the way beside it is as long, for the loops face each other.
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 20, 20))],
      boundaries: [rectangle(0, 0, 20, 20)],
      keepOutLoops: [rectangle(9, 5, 11, 7)],
      keepOuts: [rectangle(9.5, 2, 10.5, 3)],
      stationAlongM: 2,
    });
    const [{ line, lengthM }] = joinRoute(input, rules).output.leads;
    expect(lengthM).toBeCloseTo(5, 12);
    expect([9.5, 10.5]).toContain(line[0]);
  });

  test('a lead goes round steep ground that the rules keep the machine off', () => {
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 20, 10))],
      boundaries: [rectangle(0, 0, 8, 10), rectangle(12, 0, 20, 10)],
      steep: [rectangle(9, 0, 11, 10)],
      stationAlongM: 2,
    });
    expect(joinRoute(input, rules).findings.map(({ code }) => code)).toContain('join-route.cannot-join');
    const [beside] = joinRoute(
      { ...input, loops: { ...input.loops, steep: [polygonOf(rectangle(9, 0, 11, 9.5))] } },
      rules,
    ).output.leads;
    // Over the half metre of level ground at the top, 4 m straight across.
    expect(beside.lengthM).toBeCloseTo(4, 9);
    expect(beside.line[1]).toBeGreaterThan(9.5 - 1e-9);
  });

  test('lawn in a ring of hedge is joined through the gap in the hedge', () => {
    // The hedge stands round (15, 15), open by 0.5 m to the south: too narrow for wire, so its loop runs over the gap.
    const hedge = ring(
      [14.75, 9],
      [14.75, 10],
      [10, 10],
      [10, 20],
      [20, 20],
      [20, 10],
      [15.25, 10],
      [15.25, 9],
      [21, 9],
      [21, 21],
      [9, 21],
      [9, 9],
    );
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 30, 30))],
      boundaries: [rectangle(0.3, 0.3, 29.7, 29.7), rectangle(10.3, 10.3, 19.7, 19.7)],
      keepOutLoops: [rectangle(8.7, 8.7, 21.3, 21.3)],
      keepOuts: [hedge],
      stationAlongM: 2,
    });
    const { leads, routes } = joinRoute(input, rules).output;
    expect(leads.map(({ lengthM }) => lengthM)).toEqual([expect.closeTo(8.4, 9), expect.closeTo(1.6, 9)]);
    expectSound(input, { leads, routes });
  });

  test('keep-outs in a row are joined one to the next', () => {
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 40, 20))],
      boundaries: [rectangle(0, 0, 40, 20)],
      keepOutLoops: [rectangle(4, 9, 6, 11), rectangle(9, 9, 11, 11), rectangle(14, 9, 16, 11)],
      stationAlongM: 2,
    });
    const { leads } = joinRoute(input, rules).output;
    expect(leads.map(({ lengthM }) => lengthM)).toEqual([4, 3, 3]);
  });

  test('parts apart get a route and a signal unit each', () => {
    const right = rectangle(30.3, 0.3, 39.7, 9.7);
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 20, 10)), polygonOf(rectangle(30, 0, 40, 10))],
      boundaries: [rectangle(0.3, 0.3, 19.7, 9.7), right],
      stationAlongM: 4,
      partOf: (each) => (each === right ? 1 : 0),
    });
    const { output, findings } = joinRoute(input, rules);
    expect(output.routes.map(({ id, signalUnit }) => [id, signalUnit])).toEqual([
      ['route-1', 1],
      ['route-2', 2],
    ]);
    expect(output.leads).toEqual([]);
    expect(findings).toEqual([]);
  });
});

describe('wire longer than one signal unit drives', () => {
  // Three areas in a row, 40 m of wire each, 2 m apart, a keep-out loop of 8 m with a lead of 4 m in the middle one.
  const input = joinInput({
    ground: [polygonOf(rectangle(-1, -1, 35, 11))],
    boundaries: [0, 12, 24].map((x) => rectangle(x, 0, x + 10, 10)),
    keepOutLoops: [rectangle(16, 4, 18, 6)],
    stationAlongM: 5,
  });
  const parted = (loopMaxM: number): ReturnType<typeof joinRoute> => joinRoute(input, { ...rules, loopMaxM });
  const loopsOf = ({ output }: ReturnType<typeof joinRoute>): string[][] =>
    output.routes.map(({ spans }) => [...new Set(spans.filter(({ of }) => of !== 'lead').map(({ id }) => id))].sort());

  test('what fits stays one', () => {
    const { output, findings } = parted(144);
    expect(output.routes).toHaveLength(1);
    expect(output.routes[0].lengthM).toBeCloseTo(3 * 40 + 8 + 2 * (2 + 2 + 4), 9);
    expect(findings).toEqual([]);
  });

  test('a metre less and the last area gets a signal unit and a station of its own, and the limit is named', () => {
    const joined = parted(143);
    expect(loopsOf(joined)).toEqual([['boundary-1', 'boundary-2', 'keep-out-loop-1'], ['boundary-3']]);
    expect(joined.output.routes.map(({ lengthM }) => Math.round(lengthM))).toEqual([100, 40]);
    expect(joined.output.stations.map(({ loopId, role }) => [loopId, role])).toEqual([
      ['boundary-1', 'charging'],
      ['boundary-3', 'signal-only'],
    ]);
    expect(joined.findings).toHaveLength(1);
    expect(joined.findings[0]).toMatchObject({ code: 'join-route.wire-too-long', limit: 143, subject: 'boundary-3' });
    expect(joined.findings[0].value).toBeCloseTo(144, 9);
  });

  test('resistance parts the wire where it is reached before the length, and is named', () => {
    // 13.3 Ω/km (IEC 60228, class 5, 1.5 mm²) at 40 °C: x 1.0786 = 0.01434538 Ω/m; 144 m have 2.0657 Ω.
    const joined = joinRoute(input, { ...rules, loopMaxM: 500, loopMaxOhm: 2.065, wireTemperatureC: 40 });
    expect(loopsOf(joined)).toEqual([['boundary-1', 'boundary-2', 'keep-out-loop-1'], ['boundary-3']]);
    expect(joined.findings).toMatchObject([
      { code: 'join-route.resistance-too-high', limit: 2.065, unit: 'Ω', subject: 'boundary-3' },
    ]);
    expect(joined.findings[0].value).toBeCloseTo(144 * 0.0143_4538, 6);
    expect(joinRoute(input, { ...rules, loopMaxM: 500, loopMaxOhm: 2.066, wireTemperatureC: 40 }).findings).toEqual([]);
  });

  test('areas keep their keep-out loops, and each area that is too long by itself stays whole', () => {
    expect(loopsOf(parted(60))).toEqual([['boundary-1'], ['boundary-2', 'keep-out-loop-1'], ['boundary-3']]);
    expect(loopsOf(parted(30))).toEqual([['boundary-1'], ['boundary-2', 'keep-out-loop-1'], ['boundary-3']]);
  });
});

describe('ground that leaves no way', () => {
  const halves = (noWire: readonly Ring[]): JoinRouteInput =>
    joinInput({
      ground: [polygonOf(rectangle(0, 0, 30, 10))],
      boundaries: [rectangle(0.3, 0.3, 12, 9.7), rectangle(18, 0.3, 29.7, 9.7)],
      noWire,
      stationAlongM: 4,
    });

  test('a lead goes round ground where nothing may be laid', () => {
    const { output, findings } = joinRoute(halves([rectangle(14, -1, 16, 9)]), rules);
    expect(findings).toEqual([]);
    // To the two upper corners of the closed ground and on: the string meets both loops square to their sides.
    expect(output.leads[0].lengthM).toBeCloseTo(6, 9);
  });

  test('a strip of such ground right across gives the far loop its own signal unit, with the reason', () => {
    const { output, findings } = joinRoute(halves([rectangle(14, -1, 16, 11)]), rules);
    expect(output.routes.map(({ signalUnit }) => signalUnit)).toEqual([1, 2]);
    expect(output.leads).toEqual([]);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'join-route.cannot-join', severity: 'caution', subject: 'boundary-2' });
    expect(findings[0].message).toContain('nothing may be laid');
    // The unit of its own is connected where the wire runs straight, and its route begins there.
    const [charging, own] = output.stations;
    expect([charging.role, own.role, own.id, own.loopId]).toEqual([
      'charging',
      'signal-only',
      'station-2',
      'boundary-2',
    ]);
    expect([own.at.x, own.at.y]).toEqual(Array.from(output.routes[1].line.slice(0, 2)));
    expect(findings[0].message).toContain('connected at station-2');
  });

  test('many loops with one cause are one finding', () => {
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 60, 20))],
      boundaries: [rectangle(0.3, 0.3, 59.7, 19.7)],
      keepOutLoops: Array.from({ length: 9 }, (_, k) => rectangle(4 + 6 * k, 9, 5 + 6 * k, 11)),
      noWire: Array.from({ length: 9 }, (_, k) => rectangle(3 + 6 * k, 8, 6 + 6 * k, 12)),
      stationAlongM: 4,
    });
    const { findings } = joinRoute(input, rules);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'join-route.cannot-join', severity: 'stop', value: 9 * 6 });
    expect(findings[0].message).toContain('9 loops (54.0 m of wire, the longest keep-out-loop-1)');
  });

  test('a keep-out loop behind such ground is a stop', () => {
    const input = joinInput({
      ground: [polygonOf(rectangle(0, 0, 20, 20))],
      boundaries: [rectangle(0.3, 0.3, 19.7, 19.7)],
      keepOutLoops: [rectangle(9, 9, 11, 11)],
      noWire: [rectangle(6, 6, 14, 14)],
      stationAlongM: 4,
    });
    const { output, findings } = joinRoute(input, rules);
    expect(output.routes).toHaveLength(1);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'join-route.cannot-join', severity: 'stop', subject: 'keep-out-loop-1' });
  });

  test('nothing in, nothing out', () => {
    const { output, findings } = joinRoute(joinInput({ ground: [], boundaries: [] }), rules);
    expect(output).toEqual({ leads: [], routes: [], stations: [] });
    expect(findings).toEqual([]);
  });
});

/** Gardens of round areas side by side, round keep-outs in them in a loose grid, sometimes a closed strip between. */
const gardens = fc
  .record({
    areas: fc.array(fc.record({ a: fc.integer({ min: 70, max: 130 }), b: fc.integer({ min: 70, max: 130 }) }), {
      minLength: 1,
      maxLength: 3,
    }),
    islands: fc.array(
      fc.record({
        area: fc.nat(2),
        cell: fc.nat(8),
        dx: fc.integer({ min: -8, max: 8 }),
        dy: fc.integer({ min: -8, max: 8 }),
        a: fc.integer({ min: 3, max: 9 }),
        turn: fc.nat(31),
      }),
      { maxLength: 9 },
    ),
    stationShare: fc.integer({ min: 0, max: 99 }),
  })
  .map(({ areas, islands, stationShare }): JoinRouteInput => {
    const centres = areas.map((_, k) => 15 + 28 * k);
    const boundaries = areas.map(({ a, b }, k) => ellipse(centres[k], 15, a / 10, b / 10, 0, 48));
    const taken = new Set<string>();
    const placed = islands.filter(({ area, cell }) => {
      const key = `${area},${cell}`;
      const free = area < areas.length && !taken.has(key);
      taken.add(key);
      return free;
    });
    const at = ({ area, cell, dx, dy }: (typeof placed)[number]): readonly [number, number] => [
      centres[area] + ((cell % 3) - 1) * 3 + dx / 20,
      15 + (Math.floor(cell / 3) - 1) * 3 + dy / 20,
    ];
    return joinInput({
      ground: [polygonOf(rectangle(0, 0, 28 * areas.length + 2, 30))],
      boundaries,
      keepOutLoops: placed.map((island) => ellipse(...at(island), island.a / 10, island.a / 14, island.turn / 10)),
      keepOuts: placed.map((island) => ellipse(...at(island), island.a / 20, island.a / 28, island.turn / 10)),
      stationAlongM: (ringLengthM(boundaries[0]) * stationShare) / 100,
    });
  });

describe('on any garden', () => {
  test('winding, lengths, spans and leads hold', () => {
    fc.assert(
      fc.property(gardens, (input) => expectSound(input, joinRoute(input, rules).output)),
      { numRuns: 150, seed: 5001 },
    );
  });

  test('the leads are never longer than the least spanning tree over the shortest ways between the loops', () => {
    const free = { ...rules, stationStraightBeforeM: 0, stationStraightBehindM: 0 };
    fc.assert(
      fc.property(gardens, (input) => {
        expect(leadM(joinRoute(input, free).output)).toBeLessThan(leastSpanningTreeM(input) + 1e-9);
      }),
      { numRuns: 60, seed: 5002 },
    );
  });

  test('the same garden gives the same route twice, and nothing of it is changed', () => {
    fc.assert(
      fc.property(gardens, (input) => {
        const before = structuredClone(input);
        const first = joinRoute(input, rules);
        expect(joinRoute(input, rules)).toEqual(first);
        expect(input).toEqual(before);
      }),
      { numRuns: 40, seed: 5003 },
    );
  });

  test('with two loops the one lead is the shortest way between them', () => {
    fc.assert(
      fc.property(fc.integer({ min: -6, max: 6 }), fc.integer({ min: -6, max: 6 }), fc.nat(31), (x, y, turn) => {
        const input = joinInput({
          ground: [polygonOf(rectangle(0, 0, 30, 30))],
          boundaries: [ellipse(15, 15, 12, 9, 0.3, 48)],
          keepOutLoops: [ellipse(15 + x / 2, 15 + y / 2, 1.2, 0.9, turn / 10)],
        });
        expect(leadM(joinRoute(input, rules).output)).toBeCloseTo(leastSpanningTreeM(input), 9);
      }),
      { numRuns: 60, seed: 5004 },
    );
  });
});

/** What must hold of any joined route. */
function expectSound(input: JoinRouteInput, { leads, routes }: JoinedRoute): void {
  const { loops } = input.loops;
  for (const route of routes) {
    expectContinuous(route);
    const own = new Set(route.spans.map(({ id }) => id));
    const parts = [...loops, ...leads.flatMap((lead) => [lead, lead])].filter(({ id }) => own.has(id));
    expect(route.lengthM).toBeCloseTo(sum(parts.map(({ lengthM }) => lengthM)), 9);
    for (let k = 0; k < 40; k++) {
      const [x, y] = [((k * 0.618_034) % 1) * 90, ((k * 0.754_878) % 1) * 30];
      if (clearOf(route.line, x, y)) expect(windingNumber(route.line, x, y)).toBe(windingWanted(loops, x, y));
    }
  }
  for (const loop of loops) {
    const vertices = routes.flatMap((route) => verticesOf(route, loop.id));
    for (const [x, y] of vertices) expect(offRingM(loop.ring, x, y)).toBeLessThan(1e-9);
  }
  for (const lead of leads) {
    for (const other of [...loops.map(({ ring: each }) => closed(each)), ...leads.map(({ line }) => line)]) {
      expect(lead.line === other || !linesCross(lead.line, other)).toBe(true);
    }
  }
}

function expectContinuous({ line, chainageM, lengthM, spans }: Route): void {
  expect(spans[0].firstVertex).toBe(0);
  expect(spans[spans.length - 1].lastVertex).toBe(line.length / 2 - 1);
  for (let k = 1; k < spans.length; k++) expect(spans[k].firstVertex).toBe(spans[k - 1].lastVertex);
  expect(chainageM[0]).toBe(0);
  expect(chainageM[chainageM.length - 1]).toBe(lengthM);
  expect(chainageM.length).toBe(line.length / 2);
}

/** Prim over every pair of loops; the shortest way of a pair may lead over others, which changes no least tree. */
function leastSpanningTreeM({ lawn, loops: { loops } }: JoinRouteInput): number {
  const closedRings = lawn.keepOuts.flatMap(({ polygons }) => ringsOf(polygons));
  const open = polygonsFromRings(kernel().difference(ringsOf(lawn.ground), closedRings, 1e-5));
  const [first, ...others] = loops;
  const least = new Map(others.map((loop) => [loop, shortestPath(open, pieces(first), pieces(loop))?.lengthM ?? 1e9]));
  let total = 0;
  while (least.size > 0) {
    const [next, nextM] = [...least].toSorted(([, a], [, b]) => a - b)[0];
    total += nextM;
    least.delete(next);
    for (const [loop, lengthM] of least) {
      const way = shortestPath(open, pieces(next), pieces(loop));
      least.set(loop, Math.min(lengthM, way?.lengthM ?? 1e9));
    }
  }
  return total;
}

function pieces({ ring: each, id }: Loop): Piece[] {
  const line = closed(each);
  return Array.from({ length: each.length / 2 }, (_, edge) => {
    const [ax, ay, bx, by] = line.slice(2 * edge, 2 * edge + 4);
    return { owner: id, edge, ax, ay, bx, by, costM: 0 };
  });
}

function closed(each: Ring): Float64Array {
  return Float64Array.from([...each, each[0], each[1]]);
}

/** Winding number of a closed line: upward crossings to the right of the point less downward ones. */
function windingNumber(line: Float64Array, x: number, y: number): number {
  let winding = 0;
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = line.subarray(i, i + 4);
    if (ay > y === by > y || x >= ax + ((y - ay) / (by - ay)) * (bx - ax)) continue;
    winding += by > ay ? 1 : -1;
  }
  return winding;
}

function windingWanted(loops: readonly Loop[], x: number, y: number): number {
  return sum(loops.map(({ ring: each, kind }) => (pointInRing(each, x, y) ? (kind === 'boundary' ? 1 : -1) : 0)));
}

function clearOf(line: Float64Array, x: number, y: number): boolean {
  return offLineM(line, x, y) > 1e-6;
}

function offRingM(each: Ring, x: number, y: number): number {
  return offLineM(closed(each), x, y);
}

function offLineM(line: Float64Array, x: number, y: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i + 3 < line.length; i += 2) {
    least = Math.min(least, pointSegmentM(x, y, line[i], line[i + 1], line[i + 2], line[i + 3]));
  }
  return least;
}

function verticesOf({ spans, line }: Route, id: string): [number, number][] {
  return spans
    .filter((span) => span.id === id)
    .flatMap(({ firstVertex, lastVertex }) =>
      Array.from({ length: lastVertex - firstVertex + 1 }, (_, k): [number, number] => [
        line[2 * (firstVertex + k)],
        line[2 * (firstVertex + k) + 1],
      ]),
    );
}

function linesCross(p: Float64Array, q: Float64Array): boolean {
  for (let i = 0; i + 3 < p.length; i += 2) {
    for (let j = 0; j + 3 < q.length; j += 2) {
      const nearEnd = [p.slice(0, 2), p.slice(-2)].some(([x, y]) => offLineM(q.slice(j, j + 4), x, y) < 1e-9);
      const [ax, ay, bx, by] = p.subarray(i, i + 4);
      const [cx, cy, dx, dy] = q.subarray(j, j + 4);
      if (!nearEnd && segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) return true;
    }
  }
  return false;
}
