import { describe, expect, test } from 'vitest';
import {
  fieldCapacityM2PerH,
  meanFreeRunM,
  mowingH,
  passesForShare,
  randomCoveredShare,
} from '#geo-core/upkeep/coverage.ts';
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };
import trade from '../../../fixtures/reference/trade.json' with { type: 'json' };

const M_PER_FT = 0.3048;
const M2_PER_ACRE = trade.units.acre_m2;

describe('field capacity (Iowa State University PM 696, University of Kentucky AEN-73)', () => {
  test.each(trade.field_capacity.rows.filter((row) => row.mph !== undefined))(
    '$mph mph, $width_ft ft wide, at $efficiency: $acre_per_h acres an hour',
    ({ mph = Number.NaN, width_ft = Number.NaN, efficiency, acre_per_h = Number.NaN, published = Number.NaN }) => {
      const m2PerH = fieldCapacityM2PerH((mph * 5280 * M_PER_FT) / 3600, width_ft * M_PER_FT, efficiency);
      expect(m2PerH / M2_PER_ACRE).toBeCloseTo(acre_per_h, 6);
      expect(Math.abs(m2PerH / M2_PER_ACRE - published)).toBeLessThan(0.05);
    },
  );

  test('0.4 m/s, 0.22 m, 0.7: 221.76 m² an hour', () => {
    expect(fieldCapacityM2PerH(0.4, 0.22, 0.7)).toBeCloseTo(221.76, 9);
  });
});

describe('random straight runs (B. O. Koopman: 1 - exp(-passes))', () => {
  test.each(trade.random_coverage.rows)('$passes passes cover $covered', ({ passes, covered }) => {
    expect(randomCoveredShare(passes)).toBeCloseTo(covered, 12);
  });

  test.each(trade.random_coverage.passes_for)('$covered is covered after $passes passes', ({ covered, passes }) => {
    expect(passesForShare(covered)).toBeCloseTo(passes, 12);
  });
});

describe('mean straight run pi A / P (Cauchy-Crofton)', () => {
  test.each(trade.mean_chord.rows)('$shape', ({ A, P, mean }) => {
    expect(meanFreeRunM(A, P)).toBeCloseTo(mean, 12);
  });
});

describe('the golden garden of 175.6 m²', () => {
  const { assumptions, expected } = golden.case_g1;

  test('takes 0.791847 h in lanes at an efficiency of 0.7', () => {
    const capacity = fieldCapacityM2PerH(assumptions.speed_m_s, assumptions.cut_width_m, assumptions.efficiency);
    expect(mowingH(expected.net_area_m2, 1, capacity)).toBeCloseTo(expected.coverage_time_single_pass_h, 9);
  });

  test('takes 1.660513 h of random runs until 95 % are cut', () => {
    const capacity = fieldCapacityM2PerH(assumptions.speed_m_s, assumptions.cut_width_m, 1);
    expect(mowingH(expected.net_area_m2, passesForShare(0.95), capacity)).toBeCloseTo(
      expected.coverage_time_random_95pct_h,
      9,
    );
  });
});
