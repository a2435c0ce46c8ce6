import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { turningVertices } from '#geo-core/plane/turning-vertices.ts';

describe('vertices that a string must be held at', () => {
  test('corners are kept, vertices on the straight are not', () => {
    const line = Float64Array.of(0, 0, 1, 0, 2, 0, 5, 0, 5, 1, 5, 3);
    expect(turningVertices(line, 0, 5, 0.02)).toEqual([0, 3, 5]);
  });

  test('a closed line has its far corner', () => {
    const line = Float64Array.of(0, 0, 4, 0, 4, 3, 0, 3, 0, 0);
    expect(turningVertices(line, 0, 4, 0.02)).toEqual([0, 1, 2, 3, 4]);
  });

  test('an arc of 0.55 m radius drawn in 400 chords needs few pegs for 20 mm', () => {
    const chords = 400;
    const arc = Float64Array.from(
      Array.from({ length: chords + 1 }, (_, i) => {
        const angle = (2 * Math.PI * i) / chords;
        return [0.55 * Math.cos(angle), 0.55 * Math.sin(angle)];
      }).flat(),
    );
    const sagittaOf = (pegs: number): number => 0.55 * (1 - Math.cos(Math.PI / pegs));
    const pegs = turningVertices(arc, 0, chords, 0.02).length - 1;
    expect(sagittaOf(pegs)).toBeLessThan(0.021);
    expect(pegs).toBeLessThanOrEqual(20);
  });

  test('every vertex stays within the tolerance of the string, whatever the line', () => {
    const place = fc.double({ min: -5, max: 5, noNaN: true });
    fc.assert(
      fc.property(fc.array(place, { minLength: 6, maxLength: 80 }), (numbers) => {
        const line = Float64Array.from(numbers.slice(0, numbers.length - (numbers.length % 2)));
        const last = line.length / 2 - 1;
        const kept = turningVertices(line, 0, last, 0.5);
        for (let i = 0; i <= last; i++) {
          const to = kept.findIndex((vertex) => vertex >= i);
          const [a, b] = [kept[Math.max(0, to - 1)], kept[to]];
          const off = pointSegmentM(
            line[2 * i],
            line[2 * i + 1],
            line[2 * a],
            line[2 * a + 1],
            line[2 * b],
            line[2 * b + 1],
          );
          expect(off).toBeLessThanOrEqual(0.5);
        }
      }),
      { seed: 61 },
    );
  });
});
