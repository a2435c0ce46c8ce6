import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cheapestClosings, type LeadChoice, type Strait } from '#geo-core/arranging/cheapest-closings.ts';
import { subsets } from '../../support/subsets.ts';

describe('cheapest closings', () => {
  it('close a strait that saves more wire than its lawn is worth, and leave one that does not', () => {
    const leads: LeadChoice[] = [{ loops: [0, 1], lengthM: 0.7 }];
    expect(cheapestClosings(2, [{ loops: [0, 1], costM: 1.3 }], leads)).toEqual([0]);
    expect(cheapestClosings(2, [{ loops: [0, 1], costM: 1.5 }], leads)).toEqual([]);
  });

  it('never close both straits between two loops, which would shut in the ground between them', () => {
    const straits: Strait[] = [
      { loops: [0, 1], costM: -2 },
      { loops: [0, 1], costM: -1 },
    ];
    expect(cheapestClosings(2, straits, [{ loops: [0, 1], lengthM: 0.5 }])).toEqual([0]);
  });

  it('cost least of all combinations of closed straits and leads, tried one by one (five keep-outs and the boundary)', () => {
    const pair = fc.tuple(fc.nat(5), fc.nat(5)).filter(([a, b]) => a !== b);
    const strait = fc.record({ loops: pair, costM: fc.double({ min: -3, max: 4, noNaN: true }) });
    const around = fc.array(fc.double({ min: 0.1, max: 2, noNaN: true }), { minLength: 6, maxLength: 6 });
    fc.assert(
      fc.property(fc.array(strait, { maxLength: 7 }), around, (straits, lengthsM) => {
        const leads = lengthsM.map((lengthM, i): LeadChoice => ({ loops: [i, (i + 1) % 6], lengthM }));
        const chosen = cheapestClosings(6, straits, leads);
        const least = Math.min(...subsets(straits).map((closed) => costOf(closed, leads)));
        expect(
          costOf(
            chosen.map((i) => straits[i]),
            leads,
          ),
        ).toBeCloseTo(least, 9);
      }),
      { seed: 20_240, numRuns: 100 },
    );
  });
});

/** Of closed straits and the shortest leads between what they leave apart, found by trying every set of leads; infinite where ground is shut in. */
function costOf(closed: readonly Strait[], leads: readonly LeadChoice[]): number {
  if (countParts(closed) !== 6 - closed.length) return Number.POSITIVE_INFINITY;
  const closedM = closed.reduce((sum, { costM }) => sum + costM, 0);
  const joining = subsets(leads).filter((chosen) => countParts([...closed, ...chosen]) === 1);
  return closedM + Math.min(...joining.map((chosen) => chosen.reduce((sum, { lengthM }) => sum + 2 * lengthM, 0)));
}

function countParts(links: readonly { readonly loops: readonly number[] }[]): number {
  let parts = [0, 1, 2, 3, 4, 5].map((loop) => new Set([loop]));
  for (const { loops } of links) {
    const joined = parts.filter((part) => loops.some((loop) => part.has(loop)));
    parts = [...parts.filter((part) => !joined.includes(part)), new Set(joined.flatMap((part) => [...part]))];
  }
  return parts.length;
}
