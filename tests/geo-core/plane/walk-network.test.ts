import { describe, expect, test } from 'vitest';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { type Strand, walkNetwork } from '#geo-core/plane/walk-network.ts';
import { rectangle, ring } from '../../support/golden-garden.ts';

type Kind = 'boundary' | 'keep-out' | 'lead';
const loop = (id: string, of: Kind, line: Float64Array): Strand<Kind> => ({ id, of, closed: true, line });
const lead = (id: string, ...points: (readonly [number, number])[]): Strand<Kind> => ({
  id,
  of: 'lead',
  closed: false,
  line: ring(...points),
});
const order = (strands: readonly Strand<Kind>[], x: number, y: number): string =>
  walkNetwork(strands, x, y)
    .runs.map(({ id }) => id)
    .join(' ');

describe('one closed walk over loops and the lines that join them', () => {
  test('a loop alone is walked once round from where it begins', () => {
    const { line, runs } = walkNetwork([loop('A', 'boundary', rectangle(0, 0, 4, 2))], 4, 0);
    expect(Array.from(line)).toEqual([4, 0, 4, 2, 0, 2, 0, 0, 4, 0]);
    expect(runs).toEqual([{ id: 'A', of: 'boundary', firstVertex: 0, lastVertex: 4 }]);
  });

  test('lines inside are served from the left, lines outside from the right, at one and the same vertex', () => {
    //  A with an island I above the junction (5, 0), and two areas B, C below it.
    const strands = [
      loop('A', 'boundary', ring([0, 0], [5, 0], [10, 0], [10, 10], [0, 10])),
      loop('I', 'keep-out', ring([4, 3], [4, 5], [6, 5], [6, 3], [5, 3])),
      loop('B', 'boundary', ring([0, -9], [4, -9], [4, -4], [0, -4])),
      loop('C', 'boundary', ring([6, -9], [10, -9], [10, -4], [6, -4])),
      lead('to-I', [5, 0], [5, 3]),
      lead('to-B', [5, 0], [4, -4]),
      lead('to-C', [5, 0], [6, -4]),
    ];
    expect(order(strands, 0, 0)).toBe('A to-I I to-I to-B B to-B to-C C to-C A');
  });

  test('several lines to the left of one vertex are taken clockwise, the nearest to the way come first', () => {
    const island = (x: number, y: number): Float64Array =>
      reversedRing(ring([x, y], [x + 0.5, y + 1], [x - 0.5, y + 1]));
    const strands = [
      loop('A', 'boundary', ring([-10, 0], [0, 0], [10, 0], [10, 10], [-10, 10])),
      loop('east', 'keep-out', island(4, 3)),
      loop('west', 'keep-out', island(-4, 3)),
      loop('north', 'keep-out', island(0, 5)),
      lead('e', [0, 0], [4, 3]),
      lead('w', [0, 0], [-4, 3]),
      lead('n', [0, 0], [0, 5]),
    ];
    expect(order(strands, -10, 0)).toBe('A w west w n north n e east e A');
  });

  test('a branch on the left of a line is served on the way out, one on the right on the way back', () => {
    const strands = [
      loop('A', 'boundary', ring([-10, 0], [0, 0], [10, 0], [10, 20], [-10, 20])),
      loop('top', 'keep-out', reversedRing(ring([0, 10], [1, 12], [-1, 12]))),
      loop('left', 'keep-out', reversedRing(ring([-4, 5], [-6, 6], [-6, 4]))),
      loop('right', 'keep-out', reversedRing(ring([4, 5], [6, 4], [6, 6]))),
      lead('up', [0, 0], [0, 5], [0, 10]),
      lead('l', [0, 5], [-4, 5]),
      lead('r', [0, 5], [4, 5]),
    ];
    expect(order(strands, -10, 0)).toBe('A up l left l up top up r right r up A');
  });

  test('outside the loops it is the other way round: right on the way out, left on the way back', () => {
    const strands = [
      loop('A', 'boundary', ring([0, 0], [4, 0], [4, 5], [4, 10], [0, 10])),
      loop('B', 'boundary', ring([20, 0], [24, 0], [24, 10], [20, 10], [20, 5])),
      loop('above', 'boundary', ring([12, 8], [14, 10], [10, 10])),
      loop('below', 'boundary', ring([12, 2], [10, 0], [14, 0])),
      lead('across', [4, 5], [12, 5], [20, 5]),
      lead('a', [12, 5], [12, 8]),
      lead('b', [12, 5], [12, 2]),
    ];
    expect(order(strands, 0, 0)).toBe('A across b below b across B across a above a across A');
  });

  test('every loop is walked in its own sense: the areas add up, the lines enclose nothing', () => {
    const outer = ring([0, 0], [5, 0], [10, 0], [10, 10], [0, 10]);
    const island = reversedRing(ring([5, 3], [6, 5], [4, 5]));
    const { line } = walkNetwork(
      [loop('A', 'boundary', outer), loop('I', 'keep-out', island), lead('l', [5, 0], [5, 3])],
      0,
      0,
    );
    expect(ringAreaM2(line.slice(0, -2))).toBeCloseTo(ringAreaM2(outer) + ringAreaM2(island), 12);
    expect(ringLengthM(line.slice(0, -2))).toBeCloseTo(ringLengthM(outer) + ringLengthM(island) + 6, 12);
  });

  test('a line of no length leaves its two loops touching, and both are walked', () => {
    const strands = [
      loop('A', 'boundary', ring([0, 0], [5, 0], [10, 0], [10, 10], [0, 10])),
      loop('I', 'keep-out', reversedRing(ring([5, 0], [6, 2], [4, 2]))),
      lead('none', [5, 0], [5, 0]),
    ];
    expect(order(strands, 0, 0)).toBe('A I A');
  });

  test('a walk cannot begin where the first loop has no vertex', () => {
    expect(() => walkNetwork([loop('A', 'boundary', rectangle(0, 0, 4, 2))], 2, 0)).toThrow('(2, 0)');
  });
});
