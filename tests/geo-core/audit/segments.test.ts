import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { distanceToSegmentsM, indexed, pairsNear, segmentsOf } from '#geo-core/audit/segments.ts';
import { cross, pointSegmentM, segmentSegmentM } from '#geo-core/plane/segment.ts';

/** The index of the audit against looking at everything: short and long segments, on a coarse grid so that many touch. */
const spot = fc.oneof(fc.integer({ min: -40, max: 40 }), fc.double({ min: -40, max: 40, noNaN: true }));
const line = fc
  .array(fc.tuple(spot, spot), { minLength: 2, maxLength: 60 })
  .map((spots) => Float64Array.from(spots.flat()));
const lines = fc.array(line, { minLength: 1, maxLength: 3 });
const always = <T extends [unknown, ...unknown[]]>(
  arbitraries: { [K in keyof T]: fc.Arbitrary<T[K]> },
  check: (...values: T) => void,
): void => fc.assert(fc.property(...arbitraries, check), { seed: 20_240, numRuns: 300 });

describe('segments of the audit', () => {
  test('are found wherever they come within reach', () => {
    always([lines, line, fc.double({ min: 0, max: 5, noNaN: true })], (many, one, reachM) => {
      const others = indexed(segmentsOf(many, true));
      const wires = segmentsOf([one], false);
      const found = new Set<string>();
      const pairs = pairsNear(wires, others, reachM);
      for (let p = 0; p < pairs.length; p += 2) found.add(`${pairs[p]} ${pairs[p + 1]}`);
      expect(found.size).toBe(pairs.length / 2);
      for (let i = 0; i < wires.count; i++) {
        for (let k = 0; k < others.count; k++) {
          const [ax, ay, bx, by] = wires.abXy.subarray(4 * i, 4 * i + 4);
          const [cx, cy, dx, dy] = others.abXy.subarray(4 * k, 4 * k + 4);
          if (segmentSegmentM(ax, ay, bx, by, cx, cy, dx, dy) <= reachM) expect(found).toContain(`${i} ${k}`);
        }
      }
    });
  });

  test('wind around a place as counting every crossing says', () => {
    always([lines, spot, spot], (many, x, y) => {
      const { scan, abXy, count } = indexed(segmentsOf(many, true));
      let winding = 0;
      for (let k = 0; k < count; k++) {
        const [ax, ay, bx, by] = abXy.subarray(4 * k, 4 * k + 4);
        if (ay <= y && by > y && cross(ax, ay, bx, by, x, y) > 0) winding++;
        if (by <= y && ay > y && cross(bx, by, ax, ay, x, y) > 0) winding--;
      }
      expect(scan.windingAt(x, y)).toBe(winding);
    });
  });

  test('know how far the nearest of them is', () => {
    always([lines, spot, spot], (many, x, y) => {
      const segments = indexed(segmentsOf(many, false));
      let nearestM = Number.POSITIVE_INFINITY;
      for (let k = 0; k < segments.count; k++) {
        const [ax, ay, bx, by] = segments.abXy.subarray(4 * k, 4 * k + 4);
        nearestM = Math.min(nearestM, pointSegmentM(x, y, ax, ay, bx, by));
      }
      expect(distanceToSegmentsM(segments, x, y)).toBe(nearestM);
    });
  });

  test('that are no numbers are nowhere, and harm nobody', () => {
    const { grid, scan } = indexed(segmentsOf([Float64Array.of(0, 0, 10, 0, Number.NaN, 5, 0, 10)], true));
    expect(scan.windingAt(-1, 5)).toBe(-1);
    expect(grid.found.slice(0, grid.near(5, 1, 5, 1, 2))).toContain(0);
  });

  test('may be none', () => {
    const none = indexed(segmentsOf([], true));
    expect(none.scan.windingAt(0, 0)).toBe(0);
    expect(distanceToSegmentsM(none, 0, 0)).toBe(Number.POSITIVE_INFINITY);
  });
});
