import { describe, expect, test } from 'vitest';
import { planSchema } from '#api/contract/plan-schema.ts';
import type { Plan, PlanFeature, PlanKind } from '#geo-core/model/plan.ts';
import { polygonsOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { type UnprojectInput, unprojectPlan } from '#geo-core/stages/80-unproject-plan.ts';
import { goldenRules } from '../../support/golden-garden.ts';
import { goldenResult } from '../../support/golden-result.ts';

function planOf(input: UnprojectInput): Plan {
  return unprojectPlan(input, goldenRules).output;
}

function at(lonDeg: number, latDeg: number): UnprojectInput {
  const result = goldenResult();
  return { ...result, site: { ...result.site, plane: { originLonDeg: lonDeg, originLatDeg: latDeg } } };
}

function ofKind(plan: Plan, kind: PlanKind): PlanFeature[] {
  return plan.features.filter((feature) => feature.properties.kind === kind);
}

/** Every ring closed, with at least four positions, outer ones counter-clockwise and holes clockwise (RFC 7946, 3.1.6). */
function expectValid(plan: Plan): void {
  for (const { geometry } of plan.features) {
    for (const [lonDeg, latDeg] of positionsOf(geometry)) {
      expect(Math.abs(lonDeg)).toBeLessThanOrEqual(180);
      expect(Math.abs(latDeg)).toBeLessThanOrEqual(90);
    }
    for (const rings of polygonsOf(geometry)) {
      rings.forEach((ring, i) => {
        expect(ring.length).toBeGreaterThanOrEqual(4);
        expect(ring.at(-1)).toEqual(ring[0]);
        expect(Math.sign(areaDeg2(ring))).toBe(i === 0 ? 1 : -1);
      });
    }
  }
}

function areaDeg2(ring: readonly (readonly [number, number])[]): number {
  const [x0, y0] = ring[0];
  return ring.slice(1).reduce((sum, [x, y], i) => sum + (ring[i][0] - x0) * (y - y0) - (x - x0) * (ring[i][1] - y0), 0);
}

describe('the plan of the golden garden', () => {
  const plan = planOf(goldenResult());

  test('keeps the contract of the wire and the rules of RFC 7946', () => {
    expect(planSchema.parse(plan)).toEqual(plan);
    expectValid(plan);
  });

  test('says the figures of the published case', () => {
    expect(plan.summary).toMatchObject({
      lawnAreaM2: 200,
      workingAreaM2: 175.6,
      boundaryLengthM: 57.6,
      keepOutLengthM: 10.4,
      leadLengthM: 3.4,
      zoneCount: 2,
      reachableAreaM2: 91.18,
      narrowPassageAreaM2: 91.18,
      isolatedAreaM2: 0,
      handMowAreaM2: 4,
      maxSlopePct: 7.5,
      resistanceOhm: 0.99484,
      spliceCount: 1,
      spoolCount: 2,
      priceTotal: 216.44,
    });
    const { routeLengthM, boundaryLengthM, keepOutLengthM, leadLengthM } = plan.summary;
    expect(routeLengthM).toBe(boundaryLengthM + keepOutLengthM + 2 * leadLengthM);
    expect(routeLengthM).toBeCloseTo(74.8, 9);
  });

  test('has every kind that the plan holds, and every id once', () => {
    const ids = plan.features.map((feature) => feature.id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(new Set(plan.features.map((feature) => feature.properties.kind))).toEqual(
      new Set<PlanKind>([
        'working-area',
        'zone',
        'hand-mow',
        'boundary-loop',
        'keep-out-loop',
        'lead',
        'route',
        'passage',
        'supply-cable',
        'station',
        'station-candidate',
        'peg',
        'splice',
      ]),
    );
    expect(ofKind(plan, 'peg')).toHaveLength(plan.summary.pegCount);
  });

  test('puts every vertex within 0.1 mm of where it was planned', () => {
    const { toPlane } = localPlaneProjection({ originLonDeg: 8, originLatDeg: 50 });
    const [route] = ofKind(plan, 'route');
    const [planned] = goldenResult().route.routes;
    positionsOf(route.geometry).forEach(([lonDeg, latDeg], i) => {
      const place = toPlane(lonDeg, latDeg);
      expect(Math.abs(place.x - planned.line[i * 2])).toBeLessThan(1e-4);
      expect(Math.abs(place.y - planned.line[i * 2 + 1])).toBeLessThan(1e-4);
    });
  });

  test('gives a chainage for every vertex of the route, from 0 to its length', () => {
    const [{ properties, geometry }] = ofKind(plan, 'route');
    if (properties.kind !== 'route') throw new Error('not a route');
    expect(properties.chainageM).toHaveLength(positionsOf(geometry).length);
    expect(properties.chainageM[0]).toBe(0);
    expect(properties.chainageM.at(-1)).toBeCloseTo(74.8, 9);
  });

  test('knows the slope under the station and its signal unit', () => {
    expect(ofKind(plan, 'station')[0].properties).toMatchObject({ slopePct: 2.5, signalUnit: 1, headingDeg: 90 });
  });

  test('shows findings where they are, and unknown figures as null', () => {
    const [finding] = plan.findings;
    const [lonDeg, latDeg] = finding.at ?? [];
    const { toPlane } = localPlaneProjection({ originLonDeg: 8, originLatDeg: 50 });
    expect(toPlane(lonDeg ?? 0, latDeg ?? 0).x).toBeCloseTo(10, 3);
    expect(finding.subject).toBeNull();
  });

  test('says before everything else that local codes and the manual hold, and names every danger', () => {
    expect(plan.cautions[0]).toMatch(/local codes/i);
    const words = ['buried', 'electrician', 'drop-off', 'water', 'public', 'children', 'night', 'blades', 'trip'];
    for (const word of words) expect(plan.cautions.join(' ')).toContain(word);
  });

  test('lies inside its bounding box', () => {
    const [west, south, east, north] = plan.bbox ?? [0, 0, 0, 0];
    const positions = plan.features.flatMap((feature) => positionsOf(feature.geometry));
    expect(Math.min(...positions.map(([lonDeg]) => lonDeg))).toBe(west);
    expect(Math.max(...positions.map(([lonDeg]) => lonDeg))).toBe(east);
    expect(Math.min(...positions.map(([, latDeg]) => latDeg))).toBe(south);
    expect(Math.max(...positions.map(([, latDeg]) => latDeg))).toBe(north);
  });
});

describe('a garden on the antimeridian', () => {
  const plan = planOf(at(179.9999, -16.8));

  test('is cut there and stays valid', () => {
    expectValid(plan);
    expect(ofKind(plan, 'working-area')[0].geometry.type).toBe('MultiPolygon');
    expect(ofKind(plan, 'route')[0].geometry.type).toBe('MultiLineString');
    for (const { geometry } of plan.features) {
      const longitudes = positionsOf(geometry).map(([lonDeg]) => lonDeg);
      for (const lonDeg of longitudes) expect(Math.abs(lonDeg)).toBeGreaterThan(179.9);
    }
  });

  test('has a bounding box of a few metres, not of the whole earth', () => {
    const [west, , east] = plan.bbox ?? [0, 0, 0, 0];
    expect(west).toBeGreaterThan(east);
    expect(west - 360).toBeCloseTo(east - 20 / 106_600, 4);
  });

  test('keeps one chainage a vertex, ending at the length of the route', () => {
    const [{ properties, geometry }] = ofKind(plan, 'route');
    if (properties.kind !== 'route') throw new Error('not a route');
    expect(properties.chainageM).toHaveLength(positionsOf(geometry).length);
    expect(properties.chainageM.at(-1)).toBeCloseTo(74.8, 3);
  });
});

describe('a plan that failed its audit', () => {
  const result = goldenResult();
  const check = { code: 'offset-kept', passed: false, worst: 0.005, limit: 1e-4, unit: 'm', at: { x: 1, y: 0.295 } };
  const plan = planOf({ ...result, audit: { passed: false, checks: [check] } });

  test('shows no wire, no quantities and no price', () => {
    expect(plan.features).toEqual([]);
    expect(plan.summary).toMatchObject({
      routeLengthM: 0,
      pegCount: 0,
      priceTotal: 0,
      resistanceOhm: null,
      lawnAreaM2: 200,
    });
    expect(plan.takeoff.lines).toEqual([]);
    expect(plan.schedule).toEqual([]);
  });

  test('keeps its findings and the evidence', () => {
    expect(plan.findings).toHaveLength(1);
    expect(plan.audit).toMatchObject({ passed: false, checks: [{ code: 'offset-kept', worst: 0.005 }] });
    expect(plan.audit.checks[0].at?.[1]).toBeCloseTo(50, 4);
    expect(planSchema.parse(plan)).toEqual(plan);
  });
});

describe('a site on which nothing could be planned', () => {
  const result = goldenResult();
  const empty: UnprojectInput = {
    ...result,
    lawn: { ...result.lawn, lawn: [], ground: [], keepOuts: [], areaM2: 0 },
    slope: undefined,
    loops: { workingArea: [], loops: [], bays: [], bumped: [], steep: [] },
    zones: { zones: [], passages: [] },
    stations: { stations: [], candidates: [] },
    route: { leads: [], routes: [] },
    signal: { resistanceOhm: [], warmResistanceOhm: [], weak: [], faint: [] },
    settingOut: { pegs: [], splices: [], spoolCount: 0, stretches: [], parts: [], spools: [] },
    upkeep: { hoursPerWeek: 0, handMow: [], schedule: [], seasons: [], carries: [], energyKwhPerYear: 0 },
  };

  test('is a plan without features, without a box, with null for what nobody knows', () => {
    const plan = planOf(empty);
    expect(plan.features).toEqual([]);
    expect(plan).not.toHaveProperty('bbox');
    expect(plan.summary).toMatchObject({ maxSlopePct: null, resistanceOhm: null, routeLengthM: 0 });
    expect(planSchema.parse(plan)).toEqual(plan);
  });
});
