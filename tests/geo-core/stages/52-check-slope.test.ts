import { describe, expect, it } from 'vitest';
import type { SlopeSurvey } from '#geo-core/model/plane-plan.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { type CheckSlopeInput, checkSlope } from '#geo-core/stages/52-check-slope.ts';
import { goldenGarden, goldenRules, rectangle, ring } from '../../support/golden-garden.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

/** The golden garden: wire 0.3 m inside a lawn of 20 x 10 m, island 2 x 2 m, lead from below; route 74.8 m. */
const { loops, route } = goldenGarden();
const level = { zones: [], passages: [] };

function check(slope: SlopeSurvey | undefined, more: Partial<CheckSlopeInput> = {}, rules = goldenRules) {
  return checkSlope({ slope, loops, zones: level, route, ...more }, rules);
}

describe('wire on a slope', () => {
  it('is not looked at where no slope is known', () => {
    expect(check(undefined)).toEqual({ output: undefined, findings: [] });
  });

  it('is fine up to the limit', () => {
    const { output, findings } = check(slopeSurveyOf((x) => 50 - 0.149 * x));
    expect(output?.steepWire).toEqual([]);
    expect(findings.map(({ code }) => code)).toEqual(['check-slope.longer-on-ground']);
  });

  it('that falls to the east has its downhill side on the east of the lawn and on the west of the island', () => {
    const { output, findings } = check(slopeSurveyOf((x) => 50 - 0.2 * x));
    const down = output?.steepWire.filter(({ outward }) => outward) ?? [];
    // The east side of the boundary (9.4 m) at x = 19.7, and the west side of the island's loop (2.6 m) at x = 8.7.
    expect(down.map(({ line }) => [line[0], Math.round(1000 * lineLengthM(line)) / 1000])).toEqual([
      [8.7, 2.6],
      [19.7, 9.4],
    ]);
    const [first, second] = findings;
    expect(first).toMatchObject({ code: 'check-slope.wire-downhill', severity: 'caution', limit: 15, unit: '%' });
    expect(first.value).toBeCloseTo(20, 9);
    expect(first.message).toContain('12.0 m of wire');
    expect(second).toMatchObject({ code: 'check-slope.wire-on-slope', severity: 'note' });
    // All other wire of the two loops: 57.6 + 10.4 - 12.0; the lead is driven over, not along.
    expect(second.message).toContain('56.0 m of wire');
  });

  it('says how sure that is where heights scatter', () => {
    const { findings } = check(slopeSurveyOf((x) => 50 - 0.2 * x, { uncertaintyPct: 4.1 }));
    expect(findings[0].message).toContain('20.0 % (± 4.1 %)');
  });

  it('is not known where the survey is not', () => {
    const { output, findings } = check(slopeSurveyOf((x) => (x > 10 ? Number.NaN : 50 - 0.2 * x)));
    expect(output?.groundLengthM).toEqual([undefined]);
    for (const { line } of output?.steepWire ?? []) expect(Math.max(line[0], line[2])).toBeLessThan(10);
    expect(findings.map(({ code }) => code)).not.toContain('check-slope.longer-on-ground');
  });
});

describe('the length on the ground', () => {
  it('is every piece by the root of one and its slope squared', () => {
    const { output, findings } = check(slopeSurveyOf((x) => 50 - 0.45 * x));
    // Along x: 2 x 19.4 m of the boundary and 2 x 2.6 m of the loop; along y 74.8 m - 44 m. A slope of 45 % makes 1.096586 m of a metre.
    expect(output?.groundLengthM[0]).toBeCloseTo(44 * 1.096_586 + 30.8, 4);
    const longer = findings.find(({ code }) => code === 'check-slope.longer-on-ground');
    expect(longer).toMatchObject({ severity: 'caution', limit: 5, unit: '%', subject: 'route-1' });
    expect(longer?.value).toBeCloseTo((100 * 44 * 0.096_586) / 74.8, 4);
  });
});

describe('a passage', () => {
  const passages = [
    {
      id: 'passage-1',
      centreLine: ring([5, 5], [8, 5]),
      widthM: 1,
      lengthM: 3,
      narrowestAt: [
        { x: 6, y: 4.5 },
        { x: 6, y: 5.5 },
      ] as const,
      connects: ['zone-1', 'zone-2'] as const,
    },
  ];
  const codes = (height: (x: number, y: number) => number) =>
    check(slopeSurveyOf(height), { zones: { zones: [], passages } }).findings.filter(
      ({ subject }) => subject === 'passage-1',
    );

  it('that climbs more than the working area may is told', () => {
    const [finding] = codes((x) => 10 + 0.4 * x);
    expect(finding).toMatchObject({ code: 'check-slope.passage-climbs', severity: 'caution', limit: 35 });
    expect(finding.value).toBeCloseTo(40, 9);
  });

  it('that leans more than is allowed beside a wire is told, climbing as much is not', () => {
    expect(codes((_, y) => 10 + 0.2 * y)).toMatchObject([{ code: 'check-slope.passage-leans', limit: 15 }]);
    expect(codes((x) => 10 + 0.2 * x)).toEqual([]);
  });
});

describe('steep ground that the rule set leaves out', () => {
  it('has its price told in lawn and wire', () => {
    const steep = [{ outer: rectangle(9, 4, 11, 6), holes: [] }];
    const around = loops.loops.map((loop) => (loop.kind === 'keep-out' ? { ...loop, around: ['steep-1'] } : loop));
    const more = { loops: { ...loops, loops: around } };
    const excluding = { ...goldenRules, excludeSteep: true };
    const { findings } = check(
      slopeSurveyOf(() => 10, { steep }),
      more,
      excluding,
    );
    // Loop 2.6 x 2.6 m; its wire 10.4 m and the lead of 3.4 m twice.
    expect(findings).toMatchObject([{ code: 'check-slope.steep-excluded', severity: 'note', unit: 'm²' }]);
    expect(findings[0].value).toBeCloseTo(6.76, 9);
    expect(findings[0].message).toContain('17.2 m of wire (10.4 m in loops, 6.8 m in leads)');
    expect(
      check(
        slopeSurveyOf(() => 10, { steep }),
        more,
      ).findings,
    ).toEqual([]);
  });
});
