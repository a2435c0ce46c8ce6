import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { JoinedRoute, Peg, Span } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { pointAlong } from '#geo-core/plane/point-along.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { type SetOutInput, setOut } from '#geo-core/stages/60-set-out.ts';
import trade from '../../../fixtures/reference/trade.json' with { type: 'json' };
import { goldenGarden, goldenRules, ring, routeOf } from '../../support/golden-garden.ts';

/** One boundary loop, no leads, station at its first vertex. */
function loopRoute(line: Float64Array): JoinedRoute {
  const spans: Span[] = [{ of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: line.length / 2 - 1 }];
  return { leads: [], routes: [routeOf(line, spans)] };
}

/** Nothing but a route: no paving, no passages, no slopes. */
function bare(route: JoinedRoute): SetOutInput {
  const { site, lawn } = goldenGarden();
  return { site, lawn, zones: { zones: [], passages: [] }, route, slopeCheck: undefined };
}

const rectangleLine = (width: number, height: number): Float64Array =>
  ring([0, 0], [width, 0], [width, height], [0, height], [0, 0]);

function gaps(chainagesM: readonly number[]): number[] {
  const sorted = chainagesM.toSorted((a, b) => a - b);
  return sorted.slice(1).map((chainageM, i) => chainageM - sorted[i]);
}

const trialOf = (pegs: readonly Peg[]): Peg[] => pegs.filter(({ pass }) => pass === 'trial');

describe('pegs of the golden garden (counted by hand at 0.75 m)', () => {
  const { route } = goldenGarden();
  const { output, findings } = setOut(bare(route), goldenRules);

  test('station 1, to the lead 7, lead 5, island 15, the rest 71: a lead is pegged once', () => {
    const between = (fromM: number, toM: number): number =>
      output.pegs.filter(({ chainageM }) => chainageM > fromM + 1e-9 && chainageM < toM + 1e-9).length;
    expect(output.pegs[0]).toMatchObject({ at: { x: 5, y: 0.3 }, chainageM: 0, pass: 'trial' });
    expect(between(0, 5)).toBe(7);
    expect(between(5, 8.4)).toBe(5);
    expect(between(8.4, 18.8)).toBe(15);
    expect(between(18.8, 22.2)).toBe(0);
    expect(between(22.2, 74.8)).toBe(71);
    expect(output.pegs).toHaveLength(99);
    expect(findings).toEqual([]);
  });

  test('every peg lies on the route at its chainage', () => {
    const [{ line, chainageM }] = route.routes;
    for (const peg of output.pegs) expect(peg.at).toEqual(pointAlong(line, chainageM, peg.chainageM));
  });

  test('every corner has a trial peg', () => {
    const trial = trialOf(output.pegs).map(({ at }) => `${at.x} ${at.y}`);
    const { line } = route.routes[0];
    for (let i = 0; i < line.length; i += 2) expect(trial).toContain(`${line[i]} ${line[i + 1]}`);
  });

  test('no place is pegged twice', () => {
    expect(new Set(output.pegs.map(({ at }) => `${at.x} ${at.y}`)).size).toBe(output.pegs.length);
  });
});

describe('leads that branch (counted by hand at 0.75 m)', () => {
  /**
   *            +-A-+
   *            +-╥-+     lead-1 from (10, 0) by (10, 3) to A at (10, 6), lead-2 from (10, 3) to B at (14, 3):
   *              ║   +-+ lead-1 is walked as 3 m, then all of lead-2 and B, then 3 m more, A, and 6 m back
   *              ╠═══B |
   *     S--------╨---+-+-----
   */
  const line = ring(
    [2, 0],
    [10, 0],
    [10, 3],
    [14, 3],
    [14, 4],
    [16, 4],
    [16, 2],
    [14, 2],
    [14, 3],
    [10, 3],
    [10, 6],
    [9, 6],
    [9, 8],
    [11, 8],
    [11, 6],
    [10, 6],
    [10, 3],
    [10, 0],
    [20, 0],
    [20, 10],
    [0, 10],
    [0, 0],
    [2, 0],
  );
  const route: JoinedRoute = {
    leads: [
      { id: 'lead-1', line: ring([10, 0], [10, 6]), lengthM: 6, connects: ['boundary-1', 'keep-out-loop-1'] },
      { id: 'lead-2', line: ring([10, 3], [14, 3]), lengthM: 4, connects: ['lead-1', 'keep-out-loop-2'] },
    ],
    routes: [
      routeOf(line, [
        { of: 'boundary', id: 'boundary-1', firstVertex: 0, lastVertex: 1 },
        { of: 'lead', id: 'lead-1', firstVertex: 1, lastVertex: 2 },
        { of: 'lead', id: 'lead-2', firstVertex: 2, lastVertex: 3 },
        { of: 'keep-out', id: 'keep-out-loop-2', firstVertex: 3, lastVertex: 8 },
        { of: 'lead', id: 'lead-2', firstVertex: 8, lastVertex: 9 },
        { of: 'lead', id: 'lead-1', firstVertex: 9, lastVertex: 10 },
        { of: 'keep-out', id: 'keep-out-loop-1', firstVertex: 10, lastVertex: 15 },
        { of: 'lead', id: 'lead-1', firstVertex: 15, lastVertex: 17 },
        { of: 'boundary', id: 'boundary-1', firstVertex: 17, lastVertex: 22 },
      ]),
    ],
  };
  const { pegs } = setOut(bare(route), goldenRules).output;

  test('station 1, 11 to the lead, lead 4 + 6 + 4, keep-outs 12 each, the rest 71', () => {
    expect(pegs).toHaveLength(1 + 11 + 4 + 6 + 4 + 2 * 12 + 71);
  });

  test('no place is pegged twice and none on the way back', () => {
    expect(new Set(pegs.map(({ at }) => `${at.x} ${at.y}`)).size).toBe(pegs.length);
    const { chainageM } = route.routes[0];
    expect(pegs.filter((peg) => peg.chainageM > chainageM[15] && peg.chainageM < chainageM[17])).toEqual([]);
  });
});

describe('counts (arithmetic)', () => {
  test('100 m round, corners at multiples of 0.8 m: 125 pegs, not 126', () => {
    const apexM = Math.sqrt(32 * 32 - 18 * 18);
    const triangle = loopRoute(ring([0, 0], [36, 0], [18, apexM], [0, 0]));
    expect(triangle.routes[0].lengthM).toBeCloseTo(100, 9);
    expect(setOut(bare(triangle), { ...goldenRules, pegSpacingM: 0.8 }).output.pegs).toHaveLength(125);
  });

  test.each(trade.spools.rows)(
    '$length m, reserve $waste, spools of $spool m: $spools spools, $splices splices',
    (row) => {
      const route = loopRoute(rectangleLine(row.length / 4, row.length / 4));
      const rules = { ...goldenRules, endSpareM: 0, reservePct: 100 * row.waste, spoolM: row.spool };
      const { output } = setOut(bare(route), rules);
      expect(output.spoolCount).toBe(row.spools);
      expect(output.splices).toHaveLength(row.splices);
    },
  );

  test('spare ends count: 100 m with 1 m at each end does not come off one spool of 101 m, and what ends at the station is spliced before it', () => {
    const route = loopRoute(rectangleLine(25, 25));
    const rules = { ...goldenRules, endSpareM: 1, reservePct: 0 };
    expect(setOut(bare(route), { ...rules, spoolM: 102 }).output).toMatchObject({ spoolCount: 1, splices: [] });
    const { output } = setOut(bare(route), { ...rules, spoolM: 101 });
    expect(output.spoolCount).toBe(2);
    expect(output.splices).toMatchObject([{ id: 'splice-1', chainageM: 98, at: { x: 0, y: 2 }, reason: 'spool-end' }]);
  });

  test('a spool lays its length less spare end and reserve', () => {
    const route = loopRoute(rectangleLine(25, 25));
    const { output } = setOut(bare(route), { ...goldenRules, endSpareM: 1, reservePct: 5, spoolM: 42 });
    expect(output.spoolCount).toBe(3);
    expect(output.splices.map(({ chainageM }) => chainageM)).toEqual([expect.closeTo(39, 9), expect.closeTo(79, 9)]);
    expect(output.splices[0].at.x).toBeCloseTo(25, 9);
    expect(output.splices[0].at.y).toBeCloseTo(14, 9);
  });

  test('no route, nothing to set out', () => {
    const nothing = setOut(bare({ leads: [], routes: [] }), goldenRules);
    expect(nothing).toEqual({
      output: { pegs: [], splices: [], spoolCount: 0, stretches: [], parts: [], spools: [] },
      findings: [],
    });
  });
});

describe('bows', () => {
  /** Half a stadium: straights of 10 m and half circles of 2 m radius in chords of 20 mm. */
  const stadium = (): Float64Array => {
    const chords = 314;
    const halfCircle = (x: number, fromRad: number): number[] =>
      Array.from({ length: chords + 1 }, (_, i) => fromRad + (Math.PI * i) / chords).flatMap((angle) => [
        x + 2 * Math.cos(angle),
        2 * Math.sin(angle),
      ]);
    const outline = [...halfCircle(10, -Math.PI / 2), ...halfCircle(0, Math.PI / 2)];
    return Float64Array.from([...outline, outline[0], outline[1]]);
  };

  test('an arc in 314 chords gets at most twice the pegs that a sagitta of 20 mm asks for', () => {
    const { pegs } = setOut(bare(loopRoute(stadium())), goldenRules).output;
    const straights = 2 * Math.ceil(10 / 0.75);
    const needed = 2 * Math.ceil(Math.PI / (2 * Math.acos(1 - 0.02 / 2)));
    expect(pegs.length).toBeGreaterThanOrEqual(straights + needed);
    expect(pegs.length).toBeLessThanOrEqual(straights + 2 * needed);
  });

  test('the pegged string stays within 20 mm of the wire', () => {
    expectStringOnWire(loopRoute(stadium()), goldenRules);
  });
});

/** Every vertex of the wire against the string between the pegs before and after it. */
function expectStringOnWire(route: JoinedRoute, rules: Rules): void {
  const [{ line, chainageM, lengthM }] = route.routes;
  const { pegs } = setOut(bare(route), rules).output;
  const string = [...pegs, { ...pegs[0], chainageM: lengthM }];
  let next = 1;
  for (let i = 0; i < chainageM.length; i++) {
    while (next + 1 < string.length && string[next].chainageM < chainageM[i]) next++;
    const [a, b] = [string[next - 1].at, string[next].at];
    expect(pointSegmentM(line[2 * i], line[2 * i + 1], a.x, a.y, b.x, b.y)).toBeLessThanOrEqual(0.02 + 1e-9);
  }
}

describe('any loop (seeded)', () => {
  const wavyLoop = fc
    .record({
      radii: fc.array(fc.double({ min: 2, max: 15, noNaN: true }), { minLength: 3, maxLength: 12 }),
      chords: fc.integer({ min: 1, max: 12 }),
      bow: fc.double({ min: 0, max: 0.05, noNaN: true }),
    })
    .map(({ radii, chords, bow }) => {
      const points = radii.flatMap((radius, i) => {
        const next = radii[(i + 1) % radii.length];
        const [a, b] = [(2 * Math.PI * i) / radii.length, (2 * Math.PI * (i + 1)) / radii.length];
        const [ax, ay, bx, by] = [radius * Math.cos(a), radius * Math.sin(a), next * Math.cos(b), next * Math.sin(b)];
        return Array.from({ length: chords }, (_, k) => {
          const t = k / chords;
          const wave = bow * Math.sin(4 * Math.PI * t);
          return [ax + t * (bx - ax) + wave, ay + t * (by - ay) - wave];
        });
      });
      return loopRoute(Float64Array.from([...points, points[0]].flat()));
    });
  const rulesOf = fc
    .record({
      pegSpacingM: fc.double({ min: 0.3, max: 2, noNaN: true }),
      pegTrialSpacingM: fc.double({ min: 0.3, max: 6, noNaN: true }),
    })
    .map((spacing): Rules => ({ ...goldenRules, ...spacing }));

  test('spacing is never exceeded, the first peg is the station, every peg is on the wire', () => {
    fc.assert(
      fc.property(wavyLoop, rulesOf, (route, rules) => {
        const [{ line, chainageM, lengthM }] = route.routes;
        const { pegs } = setOut(bare(route), rules).output;
        expect(pegs[0]).toMatchObject({ at: { x: line[0], y: line[1] }, chainageM: 0 });
        for (const peg of pegs) expect(peg.at).toEqual(pointAlong(line, chainageM, peg.chainageM));
        const all = gaps([...pegs.map((peg) => peg.chainageM), lengthM]);
        const trial = gaps([...trialOf(pegs).map((peg) => peg.chainageM), lengthM]);
        expect(Math.max(...all)).toBeLessThanOrEqual(rules.pegSpacingM + 1e-6);
        expect(Math.max(...trial)).toBeLessThanOrEqual(rules.pegTrialSpacingM + 1e-6);
        expect(Math.min(...all)).toBeGreaterThan(0);
      }),
      { seed: 63, numRuns: 200 },
    );
  });

  test('the pegged string stays within 20 mm of the wire', () => {
    fc.assert(
      fc.property(wavyLoop, rulesOf, (route, rules) => expectStringOnWire(route, rules)),
      { seed: 64, numRuns: 200 },
    );
  });

  test('splices are one less than spools and no spool is asked for more than it holds, spare ends shorter than a spool', () => {
    const supply = fc.record({
      spoolM: fc.double({ min: 10, max: 100, noNaN: true }),
      reservePct: fc.double({ min: 0, max: 50, noNaN: true }),
      endSpareM: fc.double({ min: 0, max: 6, noNaN: true }),
    });
    fc.assert(
      fc.property(wavyLoop, supply, (route, given) => {
        const rules = { ...goldenRules, ...given };
        const { splices, spoolCount } = setOut(bare(route), rules).output;
        const [{ lengthM }] = route.routes;
        expect(splices).toHaveLength(spoolCount - 1);
        const ends = [-rules.endSpareM, ...splices.map(({ chainageM }) => chainageM), lengthM + rules.endSpareM];
        const mostM = Math.max(...gaps(ends)) * (1 + rules.reservePct / 100);
        expect(mostM).toBeLessThanOrEqual(rules.spoolM + 1e-6);
      }),
      { seed: 65, numRuns: 200 },
    );
  });
});
