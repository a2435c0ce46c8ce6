import { describe, expect, it } from 'vitest';
import { planSite, type StageId } from '#geo-core/index.ts';
import type { DerivedLawn, InsetPolygon } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import reference from '../../fixtures/reference/geodesy.json' with { type: 'json' };
import { useKernel } from '../support/load-kernel.ts';
import { siteOf } from '../support/plane-site.ts';

useKernel();

/**
 * One L-shaped lawn at nine places from Reykjavik to Ushuaia and across 180 degrees. Source: areas and perimeters by
 * Planimeter 2.1.2 (C. F. F. Karney, J. Geodesy 87 (2013) 43-55); offsets by A - P d + 4 d², P - 8 d.
 */
const { rows, expected, tolerance } = reference.lawn_at_nine_sites;
const rules: Rules = {
  ...RULE_SETS[0],
  reflexJoin: 'mitre',
  chamferLegM: 0,
  offsetsM: { ...RULE_SETS[0].offsetsM, unknown: 0.3 },
};

describe('the same lawn at nine places on earth', () => {
  it.each(rows)('measures 1286.00 m² and 156.000 m at $name, its wire 1239.56 m² and 153.600 m', (row) => {
    const ring = row.lawn_lonlat_ccw;
    const coordinates = [[...ring, ring[0]]];
    const trace = new Map<StageId, unknown>();
    const plan = planSite(
      siteOf([{ type: 'Feature', properties: { kind: 'lawn' }, geometry: { type: 'Polygon', coordinates } }]),
      rules,
      (id, output) => trace.set(id, output),
    );
    const { lawn } = trace.get('15-derive-lawn') as DerivedLawn;
    const inset = trace.get('30-offset-boundary') as InsetPolygon[];
    expect(Math.abs(totalAreaM2(lawn) - expected.area_m2)).toBeLessThan(tolerance.area_m2);
    expect(Math.abs(polygonPerimeterM(lawn[0]) - expected.perimeter_m)).toBeLessThan(tolerance.perimeter_m);
    expect(Math.abs(totalAreaM2(inset) - expected.inner_offset_0p3_mitre_area_m2)).toBeLessThan(tolerance.area_m2);
    expect(Math.abs(plan.summary.boundaryLengthM - expected.inner_offset_0p3_mitre_length_m)).toBeLessThan(
      tolerance.perimeter_m,
    );
    expect(plan.summary.lawnAreaM2).toBeCloseTo(expected.area_m2, 1);
    expect(plan.audit.passed).toBe(true);
    const positions = JSON.stringify(plan.features.map(({ geometry }) => geometry.coordinates));
    for (const [, lon] of positions.matchAll(/\[(-?[\d.e-]+),-?[\d.e-]+\]/g)) {
      expect(Math.abs(Number(lon))).toBeLessThanOrEqual(180);
    }
  });
});
