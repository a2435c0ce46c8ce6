import fc from 'fast-check';
import { expect, test } from 'vitest';
import { stretchesNear } from '#geo-core/plane/stretches-near.ts';

const along = (...xy: number[]): Float64Array => Float64Array.from(xy);

test('a line 0.6 m beside another is within 1 m of it from 0.8 m before its beginning to 0.8 m behind its end', () => {
  const [stretch, ...others] = stretchesNear(along(-5, 0.6, 15, 0.6), along(0, 20), [along(0, 0, 10, 0)], 1);
  expect(others).toEqual([]);
  expect(stretch.fromM).toBeCloseTo(5 - 0.8, 12);
  expect(stretch.toM).toBeCloseTo(15 + 0.8, 12);
});

test('a line across is near on both sides; one too far away never', () => {
  const [stretch] = stretchesNear(along(3, -5, 3, 5), along(0, 10), [along(0, 0, 10, 0)], 1.5);
  expect([stretch.fromM, stretch.toM]).toEqual([3.5, 6.5]);
  expect(stretchesNear(along(-5, 2, 15, 2), along(0, 20), [along(0, 0, 10, 0)], 1.5)).toEqual([]);
});

test('agrees with distances to sampled places (seeded)', () => {
  const metre = fc.double({ min: -10, max: 10, noNaN: true });
  fc.assert(
    fc.property(
      fc.array(metre, { minLength: 8, maxLength: 8 }),
      fc.double({ min: 0.1, max: 5, noNaN: true }),
      (xy, reachM) => {
        const [ax, ay, bx, by, cx, cy, dx, dy] = xy;
        const lengthM = Math.hypot(bx - ax, by - ay);
        fc.pre(lengthM > 1e-6);
        const found = stretchesNear(along(ax, ay, bx, by), along(0, lengthM), [along(cx, cy, dx, dy)], reachM);
        for (let k = 0; k <= 20; k++) {
          const [x, y, atM] = [ax + (k / 20) * (bx - ax), ay + (k / 20) * (by - ay), (k / 20) * lengthM];
          const length2 = (dx - cx) ** 2 + (dy - cy) ** 2;
          const t =
            length2 === 0 ? 0 : Math.min(1, Math.max(0, ((x - cx) * (dx - cx) + (y - cy) * (dy - cy)) / length2));
          const awayM = Math.hypot(x - cx - t * (dx - cx), y - cy - t * (dy - cy));
          if (Math.abs(awayM - reachM) < 1e-6) continue;
          expect(found.some(({ fromM, toM }) => fromM <= atM + 1e-9 && atM <= toM + 1e-9)).toBe(awayM < reachM);
        }
      },
    ),
    { seed: 93, numRuns: 300 },
  );
});
