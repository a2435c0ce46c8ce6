import { describe, expect, it } from 'vitest';
import { locateFault, soundBetweenOhm } from '#geo-core/fault/locate-fault.ts';
import { nextOpening } from '#geo-core/fault/next-opening.ts';
import type { FaultMeasurement, FaultPlace, MeterAccuracy, WireRecord } from '#geo-core/fault/wire-record.ts';

const ACCURACY: MeterAccuracy = { readingPct: 1, ohm: 0.02 };
const record: WireRecord = {
  lengthM: 400,
  ohmPerM: 0.0133,
  spliceOhm: 0.005,
  spliceChainagesM: [50, 100, 150, 200, 250, 300, 350],
};

describe('a break', () => {
  const open: FaultMeasurement = { what: 'loop', ohm: null };

  it('can be anywhere along the wire, and each splice counts as fifty metres of it', () => {
    const places = locateFault(record, [open], ACCURACY);
    expect(places).toHaveLength(15);
    for (const { probability } of places) expect(probability).toBeCloseTo(1 / 15, 12);
  });

  it('lies in the half that lets no current through', () => {
    const opened = { what: 'opened', splice: 3, beforeOhm: null, afterOhm: 2.675, spliceIsAtFault: false } as const;
    const places = locateFault(record, [open, opened], ACCURACY);
    expect(places.every(({ toM, splice }) => toM <= 200 && splice !== 3)).toBe(true);
    expect(places.reduce((sum, { probability }) => sum + probability, 0)).toBeCloseTo(1, 12);
  });

  it('lies beyond where the tone is heard, nineteen times out of twenty', () => {
    const places = locateFault(record, [open, { what: 'tone', chainageM: 175, heard: true }], ACCURACY);
    const beyond = places.filter(({ fromM }) => fromM >= 175).reduce((sum, { probability }) => sum + probability, 0);
    // 225 m of wire and 4 splices beyond, 175 m and 3 splices before.
    expect(beyond).toBeCloseTo((0.95 * 425) / (0.95 * 425 + 0.05 * 325), 12);
  });

  it('is nowhere when what was measured contradicts itself', () => {
    const closed = { what: 'opened', splice: 3, beforeOhm: 2.6, afterOhm: 2.7, spliceIsAtFault: false } as const;
    expect(locateFault(record, [open, closed], ACCURACY)).toEqual([]);
  });
});

describe('a bad splice', () => {
  it('adds what it adds to the half it lies in', () => {
    const places = locateFault(
      record,
      [
        { what: 'loop', ohm: soundBetweenOhm(record, 0, 400) + 5 },
        {
          what: 'opened',
          splice: 3,
          beforeOhm: soundBetweenOhm(record, 0, 200),
          afterOhm: soundBetweenOhm(record, 200, 400) + 5,
          spliceIsAtFault: false,
        },
      ],
      ACCURACY,
    );
    expect(places.map(({ splice }) => splice).toSorted()).toEqual([4, 5, 6]);
    for (const { excessOhm } of places) expect(excessOhm).toBeCloseTo(5, 1);
  });
});

describe('the search', () => {
  /** Faults put in by chance, measured with a meter as good as its data sheet, until one place is left. */
  function search(random: () => number): { openings: number; places: number; offM: number; isRight: boolean } {
    const count = 1 + Math.floor(random() * 24);
    const lengthM = 100 + 700 * random();
    const spliceChainagesM = Array.from({ length: count }, () => 1 + (lengthM - 2) * random()).toSorted(
      (a, b) => a - b,
    );
    const wire: WireRecord = { lengthM, ohmPerM: 0.0133, spliceOhm: 0.005, spliceChainagesM };
    const isBreak = random() < 0.5;
    const splice = Math.floor(random() * count);
    const atM = isBreak ? lengthM * random() : spliceChainagesM[splice];
    const excessOhm = 1 + 20 * random();
    const read = (fromM: number, toM: number): number | null => {
      const isInside = atM > fromM && atM < toM;
      if (isBreak && isInside) return null;
      const trueOhm = soundBetweenOhm(wire, fromM, toM) + (isInside ? excessOhm : 0);
      return trueOhm * (1 + (ACCURACY.readingPct / 100) * (2 * random() - 1)) + ACCURACY.ohm * (2 * random() - 1);
    };
    const measured: FaultMeasurement[] = [{ what: 'loop', ohm: read(0, lengthM) }];
    let places: FaultPlace[] = locateFault(wire, measured, ACCURACY);
    const first = places.length;
    let openings = 0;
    for (let next = nextOpening(wire, places); next !== undefined; next = nextOpening(wire, places)) {
      openings++;
      measured.push({
        what: 'opened',
        splice: next.splice,
        beforeOhm: read(0, next.chainageM),
        afterOhm: read(next.chainageM, lengthM),
        spliceIsAtFault: !isBreak && next.splice === splice,
      });
      places = locateFault(wire, measured, ACCURACY);
    }
    const [found] = places;
    const offM = found === undefined ? Number.POSITIVE_INFINITY : Math.max(0, found.fromM - atM, atM - found.toM);
    return { openings, places: first, offM, isRight: offM === 0 };
  }

  it('ends at the true stretch or splice, in at most ceil(log2 n) openings, 10,000 times', () => {
    let seed = 20_261_127;
    const random = (): number => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed / 2_147_483_647;
    };
    const wrong: number[] = [];
    for (let trial = 0; trial < 10_000; trial++) {
      const { openings, places, isRight } = search(random);
      expect(openings).toBeLessThanOrEqual(Math.ceil(Math.log2(places)));
      if (!isRight) wrong.push(trial);
    }
    expect(wrong).toEqual([]);
  });

  it('needs no opening where there is one place only', () => {
    const [only] = locateFault({ ...record, spliceChainagesM: [] }, [{ what: 'loop', ohm: null }], ACCURACY);
    expect(nextOpening({ ...record, spliceChainagesM: [] }, [only])).toBeUndefined();
  });
});
