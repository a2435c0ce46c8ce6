import { describe, expect, test } from 'vitest';
import type { Connectivity, Zone } from '#geo-core/model/plane-plan.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { type PlanUpkeepInput, planUpkeep } from '#geo-core/stages/70-plan-upkeep.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import { goldenGarden, goldenRules, goldenSite, rectangle } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { slopeSurveyOf } from '../../support/slope-survey.ts';

useKernel();

const garden = goldenGarden();

function zoneOf(polygon: Polygon, number: number, connectivity: Connectivity = 'reachable'): Zone {
  return {
    id: `zone-${number}`,
    polygons: [polygon],
    areaM2: polygonAreaM2(polygon),
    connectivity,
    area: 0,
    widestRadiusM: 1,
    widestAt: { x: polygon.outer[0], y: polygon.outer[1] },
  };
}

function goldenInput(change: Partial<PlanUpkeepInput> = {}): PlanUpkeepInput {
  const { site, lawn, loops } = garden;
  const zones = { zones: [zoneOf(loops.workingArea[0], 1)], passages: [] };
  return { site, lawn, edges: [], loops, zones, slope: undefined, ...change };
}

describe('hours a week', () => {
  test('one pass without charging is the published single pass of the golden garden', () => {
    const { assumptions, expected } = golden.case_g1;
    const rules = {
      ...goldenRules,
      speedMps: assumptions.speed_m_s,
      cuttingWidthM: assumptions.cut_width_m,
      efficiency: assumptions.efficiency,
      passesPerWeek: 1,
      chargeMin: 0,
    };
    expect(planUpkeep(goldenInput(), rules).output.hoursPerWeek).toBeCloseTo(expected.coverage_time_single_pass_h, 9);
  });

  test('three passes with 60 min of charging after 70 min: 3 x 175.6 / 221.76 x 130 / 70', () => {
    const { hoursPerWeek, schedule } = planUpkeep(goldenInput(), goldenRules).output;
    expect(hoursPerWeek).toBeCloseTo(((3 * 175.6) / 221.76) * (130 / 70), 9);
    expect(schedule.map(({ day, from, to }) => `${day} ${from}-${to}`)).toEqual([
      '1 08:00-09:29',
      '3 08:00-09:28',
      '5 08:00-09:28',
    ]);
  });

  test('an isolated zone is told of, not scheduled; one behind a narrow passage is', () => {
    const zones = {
      zones: [
        zoneOf({ outer: rectangle(1, 1, 11, 9), holes: [] }, 1),
        zoneOf({ outer: rectangle(12, 1, 15, 9), holes: [] }, 2, 'narrow-passage'),
        zoneOf({ outer: rectangle(16, 1, 19, 9), holes: [] }, 3, 'isolated'),
      ],
      passages: [],
    };
    const { output, findings } = planUpkeep(goldenInput({ zones }), goldenRules);
    expect(new Set(output.schedule.map(({ zone }) => zone))).toEqual(new Set(['zone-1', 'zone-2']));
    expect(output.hoursPerWeek).toBeCloseTo(((3 * (80 + 24)) / 221.76) * (130 / 70), 9);
    expect(findings).toMatchObject([
      { code: 'plan-upkeep.carried-by-hand', severity: 'note', subject: 'zone-3', unit: 'h' },
    ]);
    // On the grass: there is no station that charges.
    expect(findings[0].value).toBeCloseTo((3 * 24) / 221.76, 9);
    expect(output.carries).toMatchObject([{ zone: 'zone-3', day: expect.any(Number), from: expect.any(String) }]);
  });

  test('several isolated zones are told of together, with the hours of all', () => {
    const zones = {
      zones: [
        zoneOf({ outer: rectangle(12, 1, 15, 9), holes: [] }, 1, 'isolated'),
        zoneOf({ outer: rectangle(16, 1, 17, 9), holes: [] }, 2, 'isolated'),
      ],
      passages: [],
    };
    const { findings } = planUpkeep(goldenInput({ zones }), goldenRules);
    expect(findings).toMatchObject([{ code: 'plan-upkeep.carried-by-hand', subject: 'zone-1' }]);
    expect(findings[0].message).toMatch(/^Mowing zone 1, zone 2 takes /);
    expect(findings[0].value).toBeCloseTo((3 * (24 + 8)) / 221.76, 9);
  });
});

describe('a year of mowing', () => {
  test('climbing takes from the battery: m g v slope / pi more power, so shorter runs and more hours (work against gravity)', () => {
    const slope = slopeSurveyOf((x) => 0.2 * x, { maxSlopePct: 20, steep: [] });
    const rules = { ...goldenRules, massKg: 12, mowPowerW: 30, speedMps: 0.4 };
    const climbW = (12 * 9.81 * 0.4 * 0.2) / Math.PI;
    const runMin = (70 * 30) / (30 + climbW);
    const { hoursPerWeek } = planUpkeep(goldenInput({ slope }), rules).output;
    expect(hoursPerWeek).toBeCloseTo(((3 * 175.6) / 221.76) * ((runMin + 60) / runMin), 3);
  });

  test('laps along the edge take their way at the driving speed, and charging', () => {
    const without = planUpkeep(goldenInput(), goldenRules).output.hoursPerWeek;
    const withLaps = planUpkeep(goldenInput(), { ...goldenRules, edgeLapsPerWeek: 2 }).output;
    expect(withLaps.hoursPerWeek - without).toBeCloseTo(((2 * 68) / (3600 * 0.4)) * (130 / 70), 9);
    expect(withLaps.schedule.filter(({ edgeLap }) => edgeLap === true)).toHaveLength(2);
  });

  test('sprinkler hours and the time to dry are kept', () => {
    const watering = [{ days: [1, 2, 3, 4, 5, 6, 7], from: '06:00', to: '09:00' }];
    const { schedule } = planUpkeep(goldenInput({ site: { ...goldenSite, watering } }), goldenRules).output;
    expect(schedule.length).toBeGreaterThan(0);
    for (const { from } of schedule) expect(from >= '10:00').toBe(true);
  });

  test('grass that grows faster than the passes cut it is a caution by the one-third rule', () => {
    const monthsMmPerDay = [0, 0, 2, 4, 12, 8, 5, 5, 4, 2, 0, 0];
    const { findings } = planUpkeep(goldenInput({ site: { ...goldenSite, growth: { monthsMmPerDay } } }), goldenRules);
    // 12 mm a day of grass kept at 40 mm: 84 mm a week against 20 mm a cut.
    expect(findings).toMatchObject([{ code: 'plan-upkeep.cut-too-seldom', value: 3, limit: 4.2 }]);
  });

  test('energy is that of charging and of what draws all year', () => {
    const { output } = planUpkeep(goldenInput(), { ...goldenRules, signalPowerW: 0 });
    // Seven months at full growth; 60 of 130 minutes charging at 28 V and 3 A.
    const hours = output.hoursPerWeek * 7 * (365.25 / 12 / 7);
    expect(output.energyKwhPerYear).toBeCloseTo((hours * (60 / 130) * 84) / 1000, 9);
  });
});

describe('a week that is too short', () => {
  test('84 h of daylight do not hold 5,000 m²: a caution with both figures', () => {
    const big: Polygon = { outer: rectangle(0, 0, 100, 50), holes: [] };
    const { output, findings } = planUpkeep(
      goldenInput({ zones: { zones: [zoneOf(big, 1)], passages: [] } }),
      goldenRules,
    );
    expect(findings).toMatchObject([{ code: 'plan-upkeep.week-too-short', severity: 'caution', limit: 84, unit: 'h' }]);
    expect(findings[0].value).toBe(output.hoursPerWeek);
    expect(output.hoursPerWeek).toBeCloseTo(((3 * 5000) / 221.76) * (130 / 70), 9);
    expect(output.schedule.map(({ from, to }) => `${from}-${to}`)).toEqual(
      Array.from({ length: 7 }, () => '08:00-20:00'),
    );
  });

  test('quiet hours count', () => {
    const site = { ...goldenSite, quiet: [{ days: [1, 2, 3, 4, 5, 6, 7], from: '08:30', to: '20:00' }] };
    const { findings } = planUpkeep(goldenInput({ site }), goldenRules);
    expect(findings).toMatchObject([{ code: 'plan-upkeep.week-too-short', limit: 3.5 }]);
  });

  test('quiet hours that cannot be read are told of', () => {
    const site = { ...goldenSite, quiet: [{ days: [7], from: 'morning', to: '24:00' }] };
    expect(planUpkeep(goldenInput({ site }), goldenRules).findings).toMatchObject([
      { code: 'plan-upkeep.quiet-not-readable', severity: 'caution', subject: '/quiet/0' },
    ]);
  });
});

describe('what else a foreman would say', () => {
  test('two passes of random runs cut 86 % once a week', () => {
    const { findings } = planUpkeep(goldenInput(), { ...goldenRules, passesPerWeek: 2 });
    expect(findings).toMatchObject([{ code: 'plan-upkeep.thin-cover', severity: 'note', limit: 90, unit: '%' }]);
    expect(findings[0].value).toBeCloseTo(86.46647, 5);
  });

  test('in a zone of 1 x 1 m the straight run is pi / 4 m', () => {
    const tiny: Polygon = { outer: rectangle(1, 1, 2, 2), holes: [] };
    const { findings } = planUpkeep(goldenInput({ zones: { zones: [zoneOf(tiny, 1)], passages: [] } }), goldenRules);
    expect(findings).toMatchObject([{ code: 'plan-upkeep.short-runs', severity: 'note', limit: 2, unit: 'm' }]);
    expect(findings[0].value).toBeCloseTo(Math.PI / 4, 12);
  });
});

describe('grass for the hand in the golden garden', () => {
  test('the strips along the edge and around the island: 196 m² of grass less what is mown', () => {
    const { handMow } = planUpkeep(goldenInput(), { ...goldenRules, reachBeyondWireM: 0.1 }).output;
    // Four corners that a disc of 0.11 m radius does not go into.
    const mownM2 = 19.6 * 9.6 - (4 - Math.PI) * 0.11 ** 2 - 2.4 * 2.4;
    expect(totalAreaM2(handMow.map(({ polygon }) => polygon))).toBeCloseTo(196 - mownM2, 3);
    expect(new Set(handMow.map(({ cause }) => cause))).toEqual(new Set(['edge-strip']));
  });

  test('steep ground has its own cause only where the rule set leaves it out', () => {
    const slope = slopeSurveyOf((x) => Math.max(0, 2.5 - 0.5 * x), {
      maxSlopePct: 50,
      steep: [{ outer: rectangle(0, 0, 5, 10), holes: [] }],
    });
    const zones = { zones: [zoneOf({ outer: rectangle(5, 0.3, 8, 9.7), holes: [] }, 1)], passages: [] };
    const causes = (excludeSteep: boolean): Set<string> => {
      const { handMow } = planUpkeep(goldenInput({ slope, zones }), { ...goldenRules, excludeSteep }).output;
      return new Set(handMow.map(({ cause }) => cause));
    };
    expect(causes(true)).toContain('steep');
    expect(causes(false)).not.toContain('steep');
  });
});

test('no lawn: no hours, no schedule, nothing to mow', () => {
  const nothing = planUpkeep(
    {
      site: goldenSite,
      lawn: { lawn: [], ground: [], crossings: [], keepOuts: [], noWire: [], derived: false, areaM2: 0 },
      edges: [],
      loops: { workingArea: [], loops: [], bays: [], bumped: [], steep: [] },
      zones: { zones: [], passages: [] },
      slope: undefined,
    },
    goldenRules,
  );
  expect(nothing).toEqual({
    output: { hoursPerWeek: 0, handMow: [], schedule: [], seasons: [], carries: [], energyKwhPerYear: 0 },
    findings: [],
  });
});
