import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bestCut } from '#geo-core/machines/best-cut.ts';
import { partGround } from '#geo-core/machines/part-ground.ts';
import type { Polygon } from '#geo-core/model/position.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { box, polygonOf } from '../../support/shapes.ts';

const plain = { tolerance: 0.04, weightOf: polygonAreaM2, penaltyM: () => 0 };
const halved = (polygon: Polygon) => bestCut({ ...plain, polygon, share: 0.5 });

describe('the shortest cut that halves a lawn', () => {
  it('is the short side of a rectangle of two to one, and its halves are equal', () => {
    const cut = halved(polygonOf(box(0, 0, 60, 30)));
    expect(cut?.lengthM).toBeCloseTo(30, 9);
    expect(cut?.sides.map(polygonAreaM2).map((area) => Math.round(area))).toEqual([900, 900]);
  });

  it('runs through the neck between two equal lawns', () => {
    const dumbbell = polygonOf([
      ...[
        [0, 0],
        [20, 0],
        [20, 9],
        [24, 9],
        [24, 0],
        [44, 0],
      ],
      ...[
        [44, 20],
        [24, 20],
        [24, 11],
        [20, 11],
        [20, 20],
        [0, 20],
      ],
    ] as [number, number][]);
    expect(halved(dumbbell)?.lengthM).toBeCloseTo(2, 6);
  });

  it('passes a hole in the middle on both sides, since one stretch alone parts nothing', () => {
    const cut = halved(polygonOf(box(0, 0, 40, 30), box(15, 10, 10, 10)));
    expect(cut?.lines).toHaveLength(2);
    // 30 m less the hole's 10 m.
    expect(cut?.lengthM).toBeCloseTo(20, 6);
  });

  it('gives an isosceles right triangle its shortest straight halving line', () => {
    // Cutting off a corner of angle a, the least straight cut for area A/2 is 2 sqrt(A/2 tan(a/2)) (isosceles; elementary calculus). Of
    // the triangle with legs 40 m (A = 800 m²) the corners of 45 degrees give 2 sqrt(400 tan 22.5°) = 25.7 m; lines are looked along
    // in steps, so up to a twentieth more is allowed.
    const cut = halved(
      polygonOf([
        [0, 0],
        [40, 0],
        [0, 40],
      ]),
    );
    const leastM = 2 * Math.sqrt(400 * Math.tan(Math.PI / 8));
    expect(cut?.lengthM).toBeGreaterThan(0.9 * leastM);
    expect(cut?.lengthM).toBeLessThan(1.05 * leastM);
  });
});

describe('ground in several shares', () => {
  const star = fc.array(fc.double({ min: 12, max: 30, noNaN: true }), { minLength: 5, maxLength: 14 }).map((radii) =>
    polygonOf(
      radii.map((radius, i): [number, number] => {
        const angle = (2 * Math.PI * i) / radii.length;
        return [radius * Math.cos(angle), radius * Math.sin(angle)];
      }),
    ),
  );

  it('adds up to the whole, each part in one piece and within the tolerance of its share', () => {
    fc.assert(
      fc.property(star, fc.integer({ min: 2, max: 4 }), (polygon, count) => {
        const parted = partGround(polygon, new Array<number>(count).fill(1 / count), plain);
        expect(parted).toBeDefined();
        if (parted === undefined) return;
        const wholeM2 = polygonAreaM2(polygon);
        const partsM2 = parted.parts.map(polygonAreaM2);
        expect(parted.parts).toHaveLength(count);
        expect(partsM2.reduce((a, b) => a + b)).toBeCloseTo(wholeM2, 3);
        // Two cuts in a row may each be off by the tolerance of what they cut.
        for (const areaM2 of partsM2) expect(Math.abs(areaM2 / wholeM2 - 1 / count)).toBeLessThanOrEqual(0.04 + 0.04);
      }),
      { numRuns: 40 },
    );
  });
});
