import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { contourRings } from '#geo-core/terrain/contour-rings.ts';

const areaOf = (rings: readonly Float64Array[]): number => rings.reduce((sum, ring) => sum + ringAreaM2(ring), 0);

describe('contours of a value at the centres of cells', () => {
  it('of a cone are circles: area of the closed form, anticlockwise', () => {
    const rings = contourRings((c, r) => 20 - Math.sqrt((c - 30) ** 2 + (r - 30) ** 2), 61, 61, 5);
    expect(rings).toHaveLength(1);
    // A circle through chords of at most 1.4 cells: r - r cos(1.4 / 2 r) inside, 0.7 % of the area at most.
    expect(areaOf(rings) / (Math.PI * 15 * 15)).toBeGreaterThan(0.993);
    expect(areaOf(rings) / (Math.PI * 15 * 15)).toBeLessThanOrEqual(1.001);
  });

  it('of a linear value are exact, in any direction, and end at the border of what is known', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: 0.1, max: 1, noNaN: true }),
        (gx, gy) => {
          const rings = contourRings((c, r) => gx * (c - 10) - gy * (r - 10), 21, 21, 0.013);
          for (const ring of rings) {
            for (let i = 0; i < ring.length; i += 2) {
              const [c, r] = [ring[i], -ring[i + 1]];
              const isBorder = c <= 0 || r <= 0 || c >= 20 || r >= 20;
              if (!isBorder) expect(gx * (c - 10) - gy * (r - 10)).toBeCloseTo(0.013, 9);
            }
          }
          expect(areaOf(rings)).toBeGreaterThan(0);
        },
      ),
      { numRuns: 100, seed: 2001 },
    );
  });

  it('go clockwise round low ground inside high ground', () => {
    const rings = contourRings((c, r) => Math.sqrt((c - 10) ** 2 + (r - 10) ** 2), 21, 21, 4);
    const hole = rings.find((ring) => ringAreaM2(ring) < 0);
    expect(ringAreaM2(hole ?? new Float64Array())).toBeCloseTo(-Math.PI * 16, -1);
    expect(rings.filter((ring) => ringAreaM2(ring) > 0)).toHaveLength(1);
  });

  it('run half way between a cell over the limit and one that is not known', () => {
    const [ring] = contourRings((c) => (c < 5 ? 9 : Number.NaN), 10, 4, 1);
    const xs = Array.from(ring).filter((_, i) => i % 2 === 0);
    expect(Math.max(...xs)).toBe(4.5);
    expect(Math.min(...xs)).toBe(-0.5);
  });

  it('join or part two peaks that meet at a corner by the mean of the four cells', () => {
    const peaks = (low: number) => contourRings((c, r) => (c === r ? 10 : low), 2, 2, 5);
    expect(peaks(1)).toHaveLength(1);
    expect(peaks(-1)).toHaveLength(2);
  });

  it('enclose as much as the cells over the limit cover, on any ground', () => {
    const ground = fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 64, maxLength: 64 });
    fc.assert(
      fc.property(ground, (values) => {
        const rings = contourRings((c, r) => values[8 * r + c], 8, 8, 4.5);
        const count = values.filter((value) => value > 4.5).length;
        // Every cell over the limit lies inside at its centre; every other one outside.
        for (let r = 0; r < 8; r++)
          for (let c = 0; c < 8; c++)
            expect(windingOf(rings, c, -r), `${c} ${r}`).toBe(values[8 * r + c] > 4.5 ? 1 : 0);
        if (count === 0) expect(rings).toEqual([]);
      }),
      { numRuns: 200, seed: 2002 },
    );
  });
});

function windingOf(rings: readonly Float64Array[], x: number, y: number): number {
  let winding = 0;
  for (const ring of rings) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      const [ax, ay, bx, by] = [ring[j], ring[j + 1], ring[i], ring[i + 1]];
      if (ay <= y === by <= y) continue;
      if (x < ax + ((bx - ax) * (y - ay)) / (by - ay)) winding += by > ay ? 1 : -1;
    }
  }
  return winding;
}
