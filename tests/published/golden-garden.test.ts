import { describe, expect, it } from 'vitest';
import { verticalFieldNt } from '#geo-core/field/biot-savart.ts';
import type { Plan, PlanFeature } from '#geo-core/model/plan.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import reference from '../../fixtures/reference/golden.json' with { type: 'json' };
import { drawSite, rectangle, siteOf } from '../support/plane-site.ts';
import { useService } from '../support/service.ts';

/**
 * A lawn of 20 x 10 m with an island of 2 x 2 m, wire 0.3 m from both, mitred: lengths and areas exact, field by segment
 * sums (D. J. Griffiths, Introduction to Electrodynamics, ch. 5), resistance by IEC 60228 class 5.
 */
const { expected, field_nT_per_A: field } = reference.case_g1;
const rules = {
  offsetsM: { unknown: 0.3, keepOut: 0.3 },
  reflexJoin: 'mitre',
  chamferLegM: 0,
} as const;

const service = useService();

async function planAt(place: { originLonDeg: number; originLatDeg: number }, x: number, y: number): Promise<Plan> {
  const draw = drawSite(place);
  const site = siteOf(
    [draw.area('lawn', [rectangle(x, y, 20, 10)]), draw.area('keep-out', [rectangle(x + 9, y + 4, 2, 2)])],
    { rules },
  );
  const response = await service('/plan', {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json' },
    body: JSON.stringify(site),
  });
  expect(response.status).toBe(200);
  return response.json();
}

const routeOf = ({ features }: Plan): PlanFeature => {
  const route = features.find(({ properties }) => properties.kind === 'route');
  if (route === undefined) throw new Error('the plan has no route');
  return route;
};

describe('the golden garden through POST /plan', () => {
  const places = [
    { name: 'about its middle at 52 N', place: { originLonDeg: 10.5, originLatDeg: 52.25 }, x: -10, y: -5 },
    { name: 'drawn from a corner at 70 N', place: { originLonDeg: 18.9553, originLatDeg: 69.6492 }, x: 0, y: 0 },
    { name: 'across 180 degrees', place: { originLonDeg: 179.9999, originLatDeg: -16.8 }, x: 3, y: 0 },
  ];

  it.each(places)(
    'takes 57.6 + 10.4 + 2 x 3.4 = 74.8 m of wire to a millionth of a metre, $name',
    async ({ place, x, y }) => {
      const { summary, audit, findings } = await planAt(place, x, y);
      expect(Math.abs(summary.boundaryLengthM - expected.outer_loop_m)).toBeLessThan(1e-6);
      expect(Math.abs(summary.keepOutLengthM - expected.island_loop_m)).toBeLessThan(1e-6);
      expect(Math.abs(summary.leadLengthM - expected.lead_one_way_m)).toBeLessThan(1e-6);
      expect(Math.abs(summary.routeLengthM - expected.wire_total_m)).toBeLessThan(1e-6);
      expect(summary.routeLengthM).toBe(summary.boundaryLengthM + summary.keepOutLengthM + 2 * summary.leadLengthM);
      expect(Math.abs(summary.workingAreaM2 - expected.net_area_m2)).toBeLessThan(1e-4);
      expect(Math.abs((summary.resistanceOhm ?? 0) - expected.resistance_1p5mm2_class5_20C_ohm)).toBeLessThan(1e-6);
      expect(audit.passed).toBe(true);
      expect(findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    },
  );

  it('winds once round the lawn and not round the island: the shoelace of the one wire is the net area, and the field says the same', async () => {
    const place = places[0].place;
    const { geometry } = routeOf(await planAt(place, -10, -5));
    const { toPlane } = localPlaneProjection(place);
    const line = Float64Array.from(
      (geometry.coordinates as [number, number][]).flatMap(([lon, lat]) => {
        const { x, y } = toPlane(lon, lat);
        return [x + 10, y + 5];
      }),
    );
    let twice = 0;
    for (let i = 0; i + 3 < line.length; i += 2) twice += line[i] * line[i + 3] - line[i + 2] * line[i + 1];
    expect(twice / 2).toBeCloseTo(expected.signed_shoelace_area_of_wire_m2, 2);
    for (const point of field) {
      // The lead may hang on either side of the island, so near it only the sign is the same; far from it the value is too.
      const valueNt = verticalFieldNt(line, point.x, point.y, 0);
      expect(Math.sign(valueNt), `at (${point.x}, ${point.y})`).toBe(point.winding === 1 ? 1 : -1);
    }
  });
});
