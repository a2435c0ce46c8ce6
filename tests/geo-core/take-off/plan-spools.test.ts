import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Rules } from '#geo-core/model/rules.ts';
import type { WirePart } from '#geo-core/model/take-off.ts';
import type { Stretch } from '#geo-core/plane/stretches-inside.ts';
import { planSpools } from '#geo-core/take-off/plan-spools.ts';
import { goldenRules, ring, routeOf } from '../../support/golden-garden.ts';

const plainRules: Rules = { ...goldenRules, endSpareM: 0, reservePct: 0, cornerSpareM: 0 };

/** A straight wire out and back: chainage is all that counts. */
function wire(signalUnit: number, lengthM: number) {
  const line = ring([0, 0], [lengthM / 2, 0], [0, 0]);
  const of = { of: 'boundary', id: 'boundary-1' } as const;
  const route = { ...routeOf(line, [{ ...of, firstVertex: 0, lastVertex: 2 }]), signalUnit };
  const part: WirePart = { ...of, signalUnit, lengthM, groundLengthM: null, corners: 0 };
  return { route, part };
}

function planned(
  lengthsM: readonly number[],
  barred: readonly (readonly Stretch[])[],
  sizesM: readonly number[],
  rules = plainRules,
) {
  const wires = lengthsM.map((lengthM, i) => wire(i + 1, lengthM));
  return planSpools(
    wires.map(({ route }) => route),
    wires.map(({ part }) => part),
    barred,
    sizesM,
    rules,
  );
}

const sizes = ({ spools }: ReturnType<typeof planned>): number[] => spools.map(({ lengthM }) => lengthM);

describe('spools', () => {
  test('130 m of 50 and 100: one of each, spliced once', () => {
    const plan = planned([130], [[]], [100, 50]);
    expect(sizes(plan).toSorted((a, b) => a - b)).toEqual([50, 100]);
    expect(plan.ends).toHaveLength(1);
    expect(plan.spools.reduce((sum, { leftM }) => sum + leftM, 0)).toBeCloseTo(20, 9);
  });

  test('of as much wire the fewest spools: 100 m are one of 100, not two of 50', () => {
    expect(sizes(planned([100], [[]], [50, 100]))).toEqual([100]);
  });

  test('what is left goes on with the next route, without a splice', () => {
    const plan = planned([60, 30], [[], []], [100]);
    expect(sizes(plan)).toEqual([100]);
    expect(plan.ends).toEqual([]);
    expect(plan.spools[0].lays).toEqual([
      { signalUnit: 1, fromM: 0, toM: 60 },
      { signalUnit: 2, fromM: 0, toM: 30 },
    ]);
  });

  test('a splice goes back to where it may be, and another size is taken where that wastes less', () => {
    const bar = [{ fromM: 45, toM: 55 }];
    expect(planned([95], [bar], [50]).ends).toEqual([{ signalUnit: 1, chainageM: 45, forced: false }]);
    expect(sizes(planned([96], [bar], [50]))).toEqual([50, 50, 50]);
    expect(sizes(planned([96], [bar], [50, 60])).toSorted((a, b) => a - b)).toEqual([50, 60]);
  });

  test('a bar longer than any spool is spliced where it must be, and that is said', () => {
    const plan = planned([100], [[{ fromM: 10, toM: 90 }]], [40]);
    expect(plan.ends.map(({ chainageM, forced }) => [chainageM, forced])).toEqual([
      [10, false],
      [50, true],
      [90, false],
    ]);
  });

  test('spare ends, reserve and slopes come off the spool', () => {
    const { route, part } = wire(1, 100);
    const rules = { ...plainRules, endSpareM: 1, reservePct: 10 };
    const plan = planSpools([route], [{ ...part, groundLengthM: 120, corners: 0 }], [[]], [70], rules);
    // (120 + 2) x 1.1 = 134.2 of 140 m; the first lays 70 / 1.1 - 1 = 62.64 m on the ground, 52.2 m on plan.
    expect(sizes(plan)).toEqual([70, 70]);
    expect(plan.ends[0].chainageM).toBeCloseTo((70 / 1.1 - 1) / 1.2, 9);
    expect(plan.spools[1].leftM).toBeCloseTo(140 - 134.2, 9);
  });
});

describe('least wire (against every sequence of spools, seeded)', () => {
  const bars = fc
    .array(fc.tuple(fc.integer({ min: 1, max: 190 }), fc.integer({ min: 1, max: 14 })), { maxLength: 8 })
    .map((drawn) => {
      const ordered = drawn.toSorted((a, b) => a[0] - b[0]);
      const apart: Stretch[] = [];
      for (const [fromM, lengthM] of ordered)
        if (fromM > (apart.at(-1)?.toM ?? 0)) apart.push({ fromM, toM: fromM + lengthM });
      return apart;
    });

  test('as little wire, then as few spools, as the best of all sequences', () => {
    const sizesDrawn = fc.uniqueArray(fc.integer({ min: 15, max: 80 }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(fc.integer({ min: 20, max: 200 }), bars, sizesDrawn, (lengthM, drawn, sizesM) => {
        const inside = drawn.filter(({ toM }) => toM < lengthM);
        const plan = planned([lengthM], [inside], sizesM);
        const bought = sizes(plan).reduce((sum, sizeM) => sum + sizeM, 0);
        expect([bought, plan.spools.length]).toEqual(bestOfAll(lengthM, inside, sizesM));
        for (const { chainageM } of plan.ends)
          expect(inside.some(({ fromM, toM }) => fromM < chainageM - 1e-9 && chainageM + 1e-9 < toM)).toBe(false);
      }),
      { seed: 92, numRuns: 500 },
    );
  });
});

/** Wire bought and spools of the best of all sequences, each spool laid to every metre that it reaches and that is free. */
function bestOfAll(lengthM: number, bars: readonly Stretch[], sizesM: readonly number[]): readonly [number, number] {
  const isFree = (atM: number): boolean => !bars.some(({ fromM, toM }) => fromM < atM && atM < toM);
  // Everything is in whole metres, so the ends that count are, too.
  const best: (readonly [number, number] | undefined)[] = [[0, 0]];
  for (let atM = 0; atM < lengthM; atM++) {
    const here = best[atM];
    if (here === undefined) continue;
    for (const sizeM of sizesM)
      for (let endM = atM + 1; endM <= Math.min(lengthM, atM + sizeM); endM++) {
        if (endM < lengthM && !isFree(endM)) continue;
        const [bought, spools] = [here[0] + sizeM, here[1] + 1];
        const known = best[endM];
        if (known === undefined || bought < known[0] || (bought === known[0] && spools < known[1]))
          best[endM] = [bought, spools];
      }
  }
  return best[lengthM] ?? [Number.NaN, 0];
}
