import { expect, test } from 'vitest';
import { FORMATS } from '#geo-core/formats/formats.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const plan = goldenPlan();

test('no two formats share an id or an extension', () => {
  for (const of of ['id', 'extension'] as const) {
    expect(new Set(FORMATS.map((format) => format[of])).size).toBe(FORMATS.length);
  }
});

test.each(FORMATS.map((format) => [format.id, format] as const))(
  '%s writes the same bytes twice and leaves the plan as it is',
  (_, format) => {
    const before = structuredClone(plan);
    expect(format.write(plan)).toEqual(format.write(structuredClone(plan)));
    expect(plan).toEqual(before);
    expect(format.write(plan).length).toBeGreaterThan(100);
  },
);

test.each(FORMATS.map((format) => [format.id, format] as const))(
  '%s can write a plan in which nothing is planned',
  (_, format) => {
    const { bbox: _box, ...empty } = { ...plan, features: [], schedule: [], findings: [], name: null, id: null };
    expect(() => format.write(empty)).not.toThrow();
  },
);
