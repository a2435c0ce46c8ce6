import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { intervalCount } from '#geo-core/plane/interval-count.ts';
import trade from '../../../fixtures/reference/trade.json' with { type: 'json' };

describe('equal intervals of at most a spacing (arithmetic)', () => {
  test.each(trade.fence_post.rows)('$length m at $max_spacing m', ({ length, max_spacing, closed, open, actual }) => {
    expect(intervalCount(length, max_spacing)).toBe(closed);
    expect(intervalCount(length, max_spacing) + 1).toBe(open);
    if (actual !== undefined) expect(length / intervalCount(length, max_spacing)).toBeCloseTo(actual, 12);
  });

  test.each(trade.spools.rows)('$length m of wire, $waste reserve, spools of $spool m', (row) => {
    const needM = row.length * (1 + row.waste);
    if (row.need !== undefined) expect(needM).toBeCloseTo(row.need, 9);
    expect(intervalCount(needM, row.spool)).toBe(row.spools);
    expect(intervalCount(needM, row.spool) * row.spool - needM).toBeCloseTo(row.left, 9);
  });

  test('whole multiples of any spacing cost no interval more', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 20_000 }), fc.integer({ min: 1, max: 2000 }), (count, hundredths) => {
        expect(intervalCount(count * (hundredths / 100), hundredths / 100)).toBe(count);
      }),
      { seed: 60 },
    );
  });

  test('no length needs none', () => {
    expect(intervalCount(0, 0.75)).toBe(0);
  });
});
