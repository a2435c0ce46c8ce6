import { describe, expect, it } from 'vitest';
import { loopResistanceOhm, wireLimit } from '#geo-core/field/loop-resistance.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';

/** IEC 60228, class 5: 13.3 ohm per km for 1.5 mm2 at 20 degrees Celsius; a spool of 100 m, a metre to spare at each end. */
const rules: Rules = {
  ...RULE_SETS[0],
  conductorMm2: 1.5,
  conductorClass: 5,
  wireTemperatureC: 20,
  spoolM: 100,
  endSpareM: 1,
  spliceOhm: 0.1,
  loopMaxM: 1000,
};

describe('how much wire one signal unit drives', () => {
  it('is the resistance over that of a metre, on the first spool', () => {
    expect(wireLimit({ ...rules, loopMaxOhm: 0.665 })).toEqual({ mostM: expect.closeTo(50, 9), by: 'resistance' });
    expect(loopResistanceOhm(50, rules)).toBeCloseTo(0.665, 12);
  });

  it('is less for every splice on the way', () => {
    // 150 m are 1.995 ohm and a splice.
    expect(loopResistanceOhm(150, rules)).toBeCloseTo(2.095, 12);
    expect(wireLimit({ ...rules, loopMaxOhm: 2.095 })).toEqual({ mostM: expect.closeTo(150, 9), by: 'resistance' });
  });

  it('ends with the spool where the splice would be too much', () => {
    // 98 m of wire use up the first spool: 1.3034 ohm, 1.4034 with a splice.
    expect(wireLimit({ ...rules, loopMaxOhm: 1.35 })).toEqual({ mostM: 98, by: 'resistance' });
  });

  it('is the longest wire where that comes first', () => {
    expect(wireLimit({ ...rules, loopMaxOhm: 50 })).toEqual({ mostM: 1000, by: 'length' });
    for (const each of RULE_SETS) expect(wireLimit(each)).toEqual({ mostM: each.loopMaxM, by: 'length' });
  });

  it('is never more than has that resistance, and a metre more has more', () => {
    for (let loopMaxOhm = 0.1; loopMaxOhm < 12; loopMaxOhm += 0.0371) {
      const { mostM, by } = wireLimit({ ...rules, loopMaxOhm });
      if (by !== 'resistance') throw new Error('not reached');
      expect(loopResistanceOhm(mostM, rules)).toBeLessThanOrEqual(loopMaxOhm + 1e-9);
      expect(loopResistanceOhm(mostM + 0.001, rules)).toBeGreaterThan(loopMaxOhm);
    }
  });
});
