import { describe, expect, test } from 'vitest';
import {
  awgAreaMm2,
  awgResistancePerKmOhm,
  LISTED_AREAS_MM2,
  listedAreaMm2,
  resistancePerKmOhm,
  temperatureFactor,
  voltageDropV,
  wireResistanceOhm,
} from '#geo-core/field/conductor.ts';
import conductors from '../../../fixtures/reference/conductors.json' with { type: 'json' };
import golden from '../../../fixtures/reference/golden.json' with { type: 'json' };

describe('resistance by class and cross-section (IEC 60228, read in three reprints)', () => {
  test.each(conductors.iec_60228.rows)('$area_mm2 mm²', (row) => {
    expect(resistancePerKmOhm(1, row.area_mm2)).toBe(row.class1_ohm_per_km);
    expect(resistancePerKmOhm(2, row.area_mm2)).toBe(row.class2_ohm_per_km);
    expect(resistancePerKmOhm(5, row.area_mm2)).toBe(row.class5_ohm_per_km);
  });

  test('lists these cross-sections and no others', () => {
    expect(LISTED_AREAS_MM2).toEqual(conductors.iec_60228.rows.map((row) => row.area_mm2));
  });

  test('flexible wire lies 13 to 16 % above resistivity over nominal cross-section', () => {
    for (const { area_mm2: areaMm2, iacs_nominal_ohm_per_km: nominal } of conductors.iec_60228.rows) {
      const ratio = (resistancePerKmOhm(5, areaMm2) ?? 0) / nominal;
      expect(ratio).toBeGreaterThan(1.13);
      expect(ratio).toBeLessThan(1.161);
    }
  });

  test('nothing is interpolated; the next smaller listed wire never understates', () => {
    expect(resistancePerKmOhm(5, 1.2)).toBeUndefined();
    expect(listedAreaMm2(1.2)).toBe(1);
    expect(listedAreaMm2(1.5)).toBe(1.5);
    expect(listedAreaMm2(0.4)).toBeUndefined();
  });

  test.each([
    [100, 0.5, 3.9],
    [250, 0.75, 6.5],
    [300, 1.5, 3.99],
    [500, 2.5, 3.99],
  ])('a loop of %d m of %d mm², class 5, has %d ohm', (lengthM, areaMm2, ohm) => {
    expect(wireResistanceOhm(resistancePerKmOhm(5, areaMm2) ?? Number.NaN, lengthM)).toBeCloseTo(ohm, 12);
  });

  test('the golden garden: 74.8 m of 1.5 mm² at 20 and 40 degrees, flexible and solid', () => {
    const { expected } = golden.case_g1;
    const [flexible, solid] = [resistancePerKmOhm(5, 1.5) ?? Number.NaN, resistancePerKmOhm(1, 1.5) ?? Number.NaN];
    expect(wireResistanceOhm(flexible, expected.wire_total_m)).toBeCloseTo(
      expected.resistance_1p5mm2_class5_20C_ohm,
      12,
    );
    expect(wireResistanceOhm(solid, expected.wire_total_m)).toBeCloseTo(expected.resistance_1p5mm2_class1_20C_ohm, 12);
    expect(wireResistanceOhm(flexible, expected.wire_total_m, 40)).toBeCloseTo(
      expected.resistance_1p5mm2_class5_40C_ohm,
      12,
    );
  });
});

describe('temperature (annealed copper, NBS Handbook 100: 0.00393 per kelvin)', () => {
  test.each(conductors.temperature.rows)(
    'at $t degrees Celsius',
    ({ t, factor_0p00393, factor_234p5, iec_kt_factor }) => {
      expect(temperatureFactor(t)).toBeCloseTo(factor_0p00393, 12);
      expect(Math.abs(temperatureFactor(t) - factor_234p5)).toBeLessThan(0.000_05);
      expect(Math.abs(temperatureFactor(t) - iec_kt_factor)).toBeLessThan(0.004);
    },
  );
});

describe('American gauge numbers (ASTM B258; NBS Handbook 100 rounds diameters to 0.1 mil)', () => {
  const published = new Map(Object.entries(conductors.awg.published_ohm_per_1000ft));
  const ohmPer1000Ft = (gauge: number): number => awgResistancePerKmOhm(gauge) * 0.3048;

  test.each(conductors.awg.rows)('gauge $awg', (row) => {
    expect(awgAreaMm2(row.awg)).toBeCloseTo(row.area_mm2, 6);
    expect(awgResistancePerKmOhm(row.awg)).toBeCloseTo(row.ohm_per_km_20C, 4);
    expect(ohmPer1000Ft(row.awg)).toBeCloseTo(row.ohm_per_1000ft_20C, 5);
  });

  test('the handbook, within 0.3 %', () => {
    expect(published.size).toBe(5);
    for (const [gauge, ohm] of published) {
      expect(Math.abs(ohmPer1000Ft(Number(gauge)) / ohm - 1)).toBeLessThan(conductors.awg.tolerance_relative);
    }
  });
});

describe('voltage drop (IEC 60364-5-52 Annex G, read in a reprint)', () => {
  test.each(conductors.voltage_drop.rows)('$V V, $I A, $L m, $S mm²', (row) => {
    const dropV = voltageDropV({ currentA: row.I, lengthM: row.L, areaMm2: row.S, cosPhi: row.cosphi });
    expect(dropV).toBeCloseTo(row.drop_V, 12);
    expect((100 * dropV) / row.V).toBeCloseTo(row.drop_pct, 6);
  });

  test('reactance counts where current and voltage are out of step: cos phi 0.8, by hand', () => {
    const dropV = voltageDropV({ currentA: 10, lengthM: 100, areaMm2: 2.5, cosPhi: 0.8 });
    expect(dropV).toBeCloseTo(2 * (0.0225 * 40 * 0.8 + 0.00008 * 100 * 0.6) * 10, 12);
  });
});
