import { describe, expect, it } from 'vitest';
import { leadingAxis, type WeightedLine } from '#geo-core/plane/leading-axis.ts';

/** A 6 x 4 rectangle with a tree at (5, 1), turned by an angle about a place. */
function garden(turnDeg: number, more: readonly (readonly number[])[] = [], from = 0): WeightedLine[] {
  const [cos, sin] = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)];
  const turned = (xy: readonly number[]) =>
    Float64Array.from(xy, (_, i) => {
      const [x, y] = [xy[i - (i % 2)], xy[i - (i % 2) + 1]];
      return i % 2 === 0 ? 100 + x * cos - y * sin : -70 + x * sin + y * cos;
    });
  const corners = [0, 0, 6, 0, 6, 4, 0, 4];
  const ring = [...corners.slice(2 * from), ...corners.slice(0, 2 * from)];
  return [
    { line: turned(ring), isClosed: true, weight: 1 },
    { line: turned([5, 1]), isClosed: false, weight: 1 },
    ...more.map((line) => ({ line: turned(line), isClosed: false, weight: 1 })),
  ];
}

const headingDeg = (lines: readonly WeightedLine[]): number => {
  const { ux, uy } = leadingAxis(lines) ?? { ux: Number.NaN, uy: Number.NaN };
  return (Math.atan2(uy, ux) * 180) / Math.PI;
};

describe('the direction that a drawing gives itself', () => {
  it('turns with the drawing, whichever way that faces', () => {
    const home = headingDeg(garden(0));
    for (let turnDeg = 1; turnDeg < 360; turnDeg += 7) {
      const turned = headingDeg(garden(turnDeg)) - home - turnDeg;
      expect(Math.abs(turned - 360 * Math.round(turned / 360))).toBeLessThan(1e-9);
    }
  });

  it('is along the longest edge, with the balance on the left: here the tree lies below and right of the middle', () => {
    // Of the two long edges the upper one, from right to left, has the balance of the outline (20 m in the middle) and the tree farther on its left.
    expect(Math.abs(headingDeg(garden(0)))).toBeCloseTo(180, 9);
  });

  it('does not depend on the order of lines, on where a ring starts or which way round it goes', () => {
    const [ring, tree] = garden(20, []);
    const reversed = Float64Array.from(ring.line, (_, i) => ring.line[ring.line.length - 2 - (i - (i % 2)) + (i % 2)]);
    for (const drawn of [[tree, ring], garden(20, [], 2), [{ ...ring, line: reversed }, tree]])
      expect(headingDeg(drawn)).toBeCloseTo(headingDeg([ring, tree]), 9);
  });

  it('has none where nothing has a length', () => {
    expect(leadingAxis([])).toBeUndefined();
    expect(leadingAxis([{ line: Float64Array.of(1, 2), isClosed: false, weight: 1 }])).toBeUndefined();
    expect(leadingAxis([{ line: Float64Array.of(1, 2, 1, 2), isClosed: false, weight: 1 }])).toBeUndefined();
  });
});
