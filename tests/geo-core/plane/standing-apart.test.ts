import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Ring } from '#geo-core/model/position.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';
import { standingApart } from '#geo-core/plane/standing-apart.ts';

const GAP_M = 0.8;
const ground = box(0, 0, 20, 10);

/** Counter-clockwise. */
function box(x: number, y: number, widthM: number, depthM: number): Ring {
  return Float64Array.of(x, y, x + widthM, y, x + widthM, y + depthM, x, y + depthM);
}

const hole = (x: number, y: number, widthM: number, depthM: number): Ring => reversedRing(box(x, y, widthM, depthM));

describe('outlines that stand apart', () => {
  it('are those with a gap all round', () => {
    const alone = hole(9, 4, 2, 2);
    expect(standingApart([ground], [alone], GAP_M)).toEqual({ apart: [alone], near: [] });
  });

  it('are not those near the edge, or near each other', () => {
    const atEdge = hole(9, 0.7, 2, 2);
    const pair = [hole(4, 5, 1, 1), hole(5.79, 5, 1, 1)];
    const farther = [hole(13, 5, 1, 1), hole(14.81, 5, 1, 1)];
    expect(standingApart([ground], [atEdge, ...pair, ...farther], GAP_M)).toEqual({
      apart: farther,
      near: [atEdge, ...pair],
    });
  });

  it('are left out off the ground, and in its holes', () => {
    const court = reversedRing(box(3, 3, 6, 6));
    expect(standingApart([ground, court], [hole(30, 4, 2, 2), hole(5, 5, 1, 1)], GAP_M)).toEqual({
      apart: [],
      near: [],
    });
  });

  it('are not those that hold another one, however far inside, nor those that are held', () => {
    const nested = [hole(4, 2, 6, 6), hole(6, 4, 1, 1)];
    expect(standingApart([ground], nested, GAP_M)).toEqual({ apart: [], near: nested });
  });

  it('are those that a look at every pair of edges finds (60 random gardens)', () => {
    const thing = fc.record({
      x: fc.double({ min: 1, max: 17, noNaN: true }),
      y: fc.double({ min: 1, max: 7, noNaN: true }),
    });
    fc.assert(
      fc.property(fc.array(thing, { maxLength: 12 }), (things) => {
        const outlines = things.map(({ x, y }) => hole(x, y, 0.6, 0.6));
        const lonely = outlines.filter((one) =>
          [ground, ...outlines].every((other) => other === one || leastApartM(one, other) >= GAP_M),
        );
        expect(standingApart([ground], outlines, GAP_M).apart).toEqual(lonely);
      }),
      { seed: 20_240, numRuns: 60 },
    );
  });
});

function leastApartM(one: Ring, other: Ring): number {
  let leastM = Number.POSITIVE_INFINITY;
  for (let i = 0; i < one.length; i += 2) {
    for (let k = 0; k < other.length; k += 2) {
      const [j, m] = [(i + 2) % one.length, (k + 2) % other.length];
      const apartM = segmentSegmentM(
        one[i],
        one[i + 1],
        one[j],
        one[j + 1],
        other[k],
        other[k + 1],
        other[m],
        other[m + 1],
      );
      leastM = Math.min(leastM, apartM);
    }
  }
  return leastM;
}
