import { describe, expect, test } from 'vitest';
import type { Loop, Route, Zone } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon } from '#geo-core/plane/polygons.ts';
import { splitZones } from '#geo-core/stages/40-split-zones.ts';
import { type CheckSignalInput, checkSignal } from '#geo-core/stages/55-check-signal.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import { goldenGarden, goldenRules, goldenSite, rectangle, ring, routeOf } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const codes = (input: CheckSignalInput, rules: Rules = goldenRules): string[] =>
  checkSignal(input, rules).findings.map(({ code, severity }) => `${severity} ${code}`);

/** A square working area without keep-outs, its wire run anticlockwise from its lower left corner. */
function square(sideM: number, westM = 0, unit = 1): { loop: Loop; route: Route } {
  const outer = rectangle(westM, 0, westM + sideM, sideM);
  const loop: Loop = {
    id: `boundary-${unit}`,
    kind: 'boundary',
    ring: outer,
    lengthM: 4 * sideM,
    area: unit - 1,
    part: unit - 1,
    around: [],
  };
  const line = Float64Array.from([...outer, westM, 0]);
  const spans = [{ of: 'boundary', id: loop.id, firstVertex: 0, lastVertex: 4 }] as const;
  return { loop, route: { ...routeOf(line, spans), id: `route-${unit}`, signalUnit: unit } };
}

/** The widest circle of a square touches all four sides. */
function squareZone({ ring: [westM, southM], lengthM }: Loop, area: number): Zone {
  const widestRadiusM = lengthM / 8;
  return {
    id: `zone-${area + 1}`,
    polygons: [],
    areaM2: (lengthM / 4) ** 2,
    connectivity: 'reachable',
    area,
    widestRadiusM,
    widestAt: { x: westM + widestRadiusM, y: southM + widestRadiusM },
  };
}

function inputOf(...squares: { loop: Loop; route: Route }[]): CheckSignalInput {
  return {
    site: goldenSite,
    loops: {
      workingArea: squares.map(({ loop }) => ({ outer: loop.ring, holes: [], part: loop.part })),
      loops: squares.map(({ loop }) => loop),
      bays: [],
      bumped: [],
      steep: [],
    },
    zones: {
      zones: squares.map(({ loop }, area) => squareZone(loop, area)),
      passages: [],
    },
    route: { leads: [], routes: squares.map(({ route }) => route) },
  };
}

describe('the golden garden', () => {
  const { lawn, loops, route } = goldenGarden();
  const zones = splitZones({ site: goldenSite, lawn, loops }, goldenRules).output;
  const input: CheckSignalInput = { site: goldenSite, loops, zones, route };

  test('has the published resistance of 0.99484 ohm at 20 degrees, every ground in range and nothing to remark', () => {
    const { output, findings } = checkSignal(input, goldenRules);
    expect(output.resistanceOhm).toHaveLength(1);
    expect(output.resistanceOhm[0]).toBeCloseTo(golden.case_g1.expected.resistance_1p5mm2_class5_20C_ohm, 12);
    expect(output.weak).toEqual([]);
    expect(findings).toEqual([]);
  });

  test('has its weakest field on the working area, and no weaker sample among the published points is hidden', () => {
    const { weakest } = checkSignal(input, goldenRules).output;
    expect(weakest).toBeDefined();
    if (weakest === undefined) return;
    expect(pointInPolygon(loops.workingArea[0], weakest.at.x, weakest.at.y)).toBe(true);
    const inside = golden.case_g1.field_nT_per_A.filter(({ winding }) => winding === 1);
    expect(weakest.fieldNt).toBeGreaterThan(0);
    expect(weakest.fieldNt).toBeLessThanOrEqual(Math.min(...inside.map((row) => row.Bz_nT_per_A)));
  });

  test('with the island run the same way as the boundary is a stop', () => {
    const around = ring([10, 3.7], [11.3, 3.7], [11.3, 6.3], [8.7, 6.3], [8.7, 3.7], [10, 3.7]);
    const line = route.routes[0].line.slice();
    line.set(around, 2 * 2);
    const wrong = { ...input, route: { ...route, routes: [routeOf(line, route.routes[0].spans)] } };
    const [finding] = checkSignal(wrong, goldenRules).findings;
    expect(finding).toMatchObject({ code: 'check-signal.sign-reversed', severity: 'stop', limit: 0, unit: 'nT' });
    expect(finding.value).toBeLessThan(0);
  });

  test('run clockwise as a whole is a stop', () => {
    const [one] = route.routes;
    const backwards = Float64Array.from(
      Array.from({ length: one.line.length / 2 }, (_, i) => {
        const at = one.line.length - 2 - 2 * i;
        return [one.line[at], one.line[at + 1]];
      }).flat(),
    );
    const wrong = { ...input, route: { ...route, routes: [routeOf(backwards, one.spans)] } };
    expect(codes(wrong)).toEqual(['stop check-signal.sign-reversed']);
  });
});

describe('range', () => {
  test('a square of 60 m has 20 x 20 m out of the 20 m range, its middle 30 m from the wire', () => {
    const { output, findings } = checkSignal(inputOf(square(60)), goldenRules);
    expect(totalAreaM2(output.weak)).toBeCloseTo(400, 3);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'check-signal.out-of-range', severity: 'caution', limit: 20, unit: 'm' });
    expect(findings[0].value).toBeCloseTo(30, 6);
    expect(findings[0].at).toMatchObject({ x: 30, y: 30 });
  });

  test('a square of 40 m is just in range', () => {
    expect(checkSignal(inputOf(square(40)), goldenRules)).toMatchObject({ output: { weak: [] }, findings: [] });
  });

  test('a keep-out loop in the middle brings the signal there', () => {
    const plain = inputOf(square(60));
    const hole = ring([29, 29], [29, 31], [31, 31], [31, 29]);
    const keepOut: Loop = {
      id: 'keep-out-loop-1',
      kind: 'keep-out',
      ring: hole,
      lengthM: 8,
      area: 0,
      part: 0,
      around: [],
      arrangement: { kind: 'own-loop', wireM: 8, costM: 8 },
    };
    const input: CheckSignalInput = {
      ...plain,
      loops: {
        ...plain.loops,
        workingArea: [{ ...plain.loops.workingArea[0], holes: [hole] }],
        loops: [...plain.loops.loops, keepOut],
      },
    };
    expect(checkSignal(input, goldenRules).output.weak).toEqual([]);
  });
});

describe('wire', () => {
  test('a loop longer than one unit drives is a caution with both lengths', () => {
    const { findings } = checkSignal(inputOf(square(15)), { ...goldenRules, loopMaxM: 59 });
    expect(findings).toMatchObject([
      { code: 'check-signal.loop-too-long', severity: 'caution', value: 60, limit: 59, unit: 'm', subject: 'route-1' },
    ]);
  });

  test('a cross-section that IEC 60228 does not list takes the next smaller one and says so', () => {
    const { output, findings } = checkSignal(inputOf(square(25)), { ...goldenRules, conductorMm2: 1.2 });
    expect(output.resistanceOhm[0]).toBeCloseTo(1.95, 12);
    expect(findings).toMatchObject([{ code: 'check-signal.cross-section-not-listed', value: 1.2, limit: 1 }]);
  });

  test('grounds apart have signals of their own: each is read with its own wire', () => {
    const near = checkSignal(inputOf(square(10), square(12, 10.5, 2)), goldenRules);
    expect(near.findings).toEqual([]);
    expect(near.output.resistanceOhm).toHaveLength(2);
    expect(near.output.resistanceOhm[1]).toBeCloseTo(0.0133 * 48, 12);
    const alone = checkSignal(inputOf(square(12, 10.5)), goldenRules).output.weakest?.fieldNt ?? Number.NaN;
    expect(near.output.weakest?.fieldNt).toBeLessThanOrEqual(alone * 1.05);
  });

  test('nothing laid: nothing to check', () => {
    expect(checkSignal(inputOf(), goldenRules)).toEqual({
      output: { resistanceOhm: [], warmResistanceOhm: [], weak: [], faint: [] },
      findings: [],
    });
  });

  test('warm and with its splices it has the resistance of the table at that temperature and more than the limit is said', () => {
    const [loop] = [square(150)];
    const rules = {
      ...goldenRules,
      conductorMm2: 0.75,
      wireTemperatureC: 40,
      spliceOhm: 0.01,
      spoolM: 250,
      loopMaxM: 5000,
    };
    // IEC 60228 class 5: 26 ohm/km; 1.0786 at 40 degrees; 602 m are three spools, so two splices.
    const warmOhm = 0.026 * 600 * 1.0786 + 2 * 0.01;
    const { output, findings } = checkSignal(inputOf(loop), { ...rules, loopMaxOhm: 16 });
    expect(output.warmResistanceOhm[0]).toBeCloseTo(warmOhm, 9);
    expect(findings.find(({ code }) => code === 'check-signal.resistance-high')).toMatchObject({
      limit: 16,
      unit: 'Ω',
    });
    const sound = checkSignal(inputOf(loop), { ...rules, loopMaxOhm: 17 }).findings;
    expect(sound.some(({ code }) => code === 'check-signal.resistance-high')).toBe(false);
  });

  test('a wide lawn has ground under the least field, said with its area and place', () => {
    const rules = { ...goldenRules, fieldMinNt: 15, signalRangeM: 200, loopMaxM: 5000 };
    const { output, findings } = checkSignal(inputOf(square(100)), rules);
    expect(output.faint).toHaveLength(1);
    expect(findings).toMatchObject([{ code: 'check-signal.field-faint', severity: 'caution', limit: 15, unit: 'nT' }]);
    expect(findings[0].value).toBeLessThan(15);
    expect(checkSignal(inputOf(square(100)), { ...rules, fieldMinNt: 11 }).output.faint).toEqual([]);
  });

  test('a supply cable that loses more than it may is said with the cross-section that would do', () => {
    const input = { ...inputOf(square(15)), stations: { supplyCable: Float64Array.of(0, 0, 15, 0) } };
    // IEC 60364-5-52 Annex G: 28 V, 3 A, 15 m: 0.75 mm2 loses 2.7 V (9.64 %), 1.5 mm2 4.82 %.
    const { output, findings } = checkSignal(input, { ...goldenRules, supplyV: 28, supplyA: 3, supplyMm2: 0.75 });
    expect(output.supply?.dropV).toBeCloseTo(2.7, 9);
    expect(output.supply).toMatchObject({ leastMm2: 1.5, leastAwg: 14, powerW: 84 });
    expect(findings).toMatchObject([
      { code: 'check-signal.supply-drop', limit: 5, unit: '%', subject: 'supply-cable' },
    ]);
    expect(findings[0].value).toBeCloseTo(9.642857, 5);
  });
});
