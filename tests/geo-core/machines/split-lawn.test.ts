import { beforeAll, describe, expect, it } from 'vitest';
import { machineFit } from '#geo-core/machines/machine-fit.ts';
import { HOURS_TOLERANCE_PCT, type LawnSplit, splitLawn } from '#geo-core/machines/split-lawn.ts';
import { linesOf } from '#geo-core/model/plan-geometry.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite, surveySite } from '#geo-core/plan-site.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, rectangle, siteOf } from '../../support/plane-site.ts';

useKernel();

const draw = drawSite();
const rulesOf = (name: string): Rules => RULE_SETS.find((set) => set.name === name) ?? RULE_SETS[0];

/** An invented park lawn of 120 m by 60 m with a house in it, trees, two outlets and a hard strip. */
const park: SiteInput = siteOf(
  [
    draw.area('lawn', [rectangle(0, 0, 120, 60)]),
    draw.area('building', [rectangle(50, 20, 18, 14)]),
    draw.point('tree', 30, 30, { radius: 0.4 }),
    draw.point('tree', 90, 30.5, { radius: 0.4 }),
    draw.point('outlet', 0.5, -1),
    draw.point('outlet', 60, -1),
    draw.point('outlet', 119, 61),
    draw.line(
      'edge',
      [
        [0, 0],
        [120, 0],
      ],
      { beyond: 'hedge' },
    ),
  ],
  { id: 'park', name: 'Invented park' },
);

describe('a lawn split between machines', () => {
  let split: LawnSplit;
  beforeAll(() => {
    split = splitLawn(park, planSite(park, rulesOf('large-lawn')), 3);
  });

  it('gives as many areas as machines, each planned for itself and passing its audit', () => {
    expect(split.areas.map(({ id }) => id)).toEqual(['area-1', 'area-2', 'area-3']);
    for (const { plan } of split.areas) {
      expect(plan.audit.passed).toBe(true);
      expect(plan.findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    }
  });

  it('gives every machine the same hours within the stated tolerance', () => {
    expect(split.isFair).toBe(true);
    for (const { offMeanPct } of split.areas) expect(Math.abs(offMeanPct)).toBeLessThanOrEqual(HOURS_TOLERANCE_PCT);
  });

  it('loses and doubles no lawn', () => {
    const wholeM2 = surveySite(park, rulesOf('large-lawn')).lawn.areaM2;
    const partsM2 = split.areas.reduce((sum, { plan }) => sum + plan.summary.lawnAreaM2, 0);
    // Corners of the cuts are told to 0.1 mm in degrees: over cuts of 200 m that is 0.02 m².
    expect(Math.abs(partsM2 - wholeM2)).toBeLessThan(0.05);
  });

  it('gives each area one station and one route', () => {
    for (const { plan } of split.areas) {
      const of = (kind: string) => plan.features.filter(({ properties }) => properties.kind === kind);
      expect(of('station')).toHaveLength(1);
      expect(of('route')).toHaveLength(1);
    }
  });

  it('keeps every station within the reach of an outlet where the outlets allow it', () => {
    expect(split.areas.map(({ isSupplied }) => isSupplied)).toEqual([true, true, true]);
  });

  it('gives areas side by side different channels', () => {
    expect(new Set(split.areas.map(({ channel }) => channel)).size).toBeGreaterThan(1);
  });

  it('tells where the lawn is cut', () => {
    expect(split.cuts.length).toBeGreaterThanOrEqual(2);
    for (const { geometry } of split.cuts) expect(linesOf(geometry)[0]).toHaveLength(2);
  });

  it('takes as many machines as hours and signal ask for where no number is given', () => {
    const own = splitLawn(park, planSite(park, rulesOf('default')));
    expect(machineFit(planSite(park, rulesOf('default'))).verdict).toBe('fits-shared');
    expect(own.areas.length).toBeGreaterThan(1);
    expect(own.isEnough).toBe(true);
  });

  it('answers a site without lawn with no areas', () => {
    const bare = siteOf([draw.point('outlet', 0, 0)]);
    expect(splitLawn(bare, planSite(bare, RULE_SETS[0])).areas).toEqual([]);
  });
});

describe('which machine fits', () => {
  const fitOf = (site: SiteInput, name: string) => machineFit(planSite(site, rulesOf(name)));

  it('fits a plain garden without a reason against it', () => {
    const garden = siteOf([draw.area('lawn', [rectangle(0, 0, 20, 15)])]);
    expect(fitOf(garden, 'default')).toMatchObject({ verdict: 'fits', machinesAtLeast: 1, reasons: [] });
  });

  it('says what a heavy machine lacks in a garden with a narrow way, with figure, limit and place', () => {
    // Two lawns joined by a strip of 1.5 m: 1.1 m between wires, enough for a gap of 0.8 m and too little for one of 1.2 m (it would take 1.6 m).
    const two = siteOf([
      draw.area('lawn', [
        [
          [0, 0],
          [12, 0],
          [12, 5],
          [18, 5],
          [18, 0],
          [30, 0],
          [30, 12],
          [18, 12],
          [18, 6.5],
          [12, 6.5],
          [12, 12],
          [0, 12],
        ],
      ]),
    ]);
    expect(fitOf(two, 'default').verdict).toBe('fits');
    const heavy = fitOf(two, 'large-lawn');
    expect(heavy.verdict).toBe('fits-shared');
    const [reason] = heavy.reasons;
    expect(reason.code).toBe('loop-keep-outs.narrow-corridor');
    expect(reason.value).toBeCloseTo(1.5, 6);
    expect(reason.limit).toBeCloseTo(1.6, 6);
    expect(reason.at).not.toBeNull();
  });

  it('fits nowhere that a lawn is too narrow to mow', () => {
    const strip = siteOf([draw.area('lawn', [rectangle(0, 0, 30, 1.6)])]);
    expect(fitOf(strip, 'large-lawn')).toMatchObject({ verdict: 'does-not-fit', machinesAtLeast: null });
  });

  it('asks for more machines where the week is too short', () => {
    const fit = fitOf(park, 'default');
    expect(fit.reasons.map(({ code }) => code)).toContain('plan-upkeep.week-too-short');
    expect(fit.machinesAtLeast).toBeGreaterThanOrEqual(Math.ceil(fit.hoursPerWeek / (fit.windowH ?? 0)));
  });
});
