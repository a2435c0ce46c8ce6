import fc from 'fast-check';
import type { Spot } from './drawing.ts';

/** Outlines of lawns and of what lies on them: most of them a few metres across, which is where rules meet. */

export const metres = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: Math.round(min * 100), max: Math.round(max * 100) }).map((centimetres) => centimetres / 100);

const sizeM = fc.oneof({ weight: 7, arbitrary: metres(3, 14) }, { weight: 1, arbitrary: metres(14, 40) });

/** L, U, T and plain rectangles.
 *
 *     +--+      +--+  +--+    +--------+
 *     |  +---+  |  +--+  |    +-+    +-+
 *     +------+  +--------+      +----+
 */
const rectilinear: fc.Arbitrary<Spot[]> = fc
  .record({
    shape: fc.constantFrom('rectangle', 'L', 'U', 'T'),
    widthM: sizeM,
    depthM: sizeM,
    left: metres(0.2, 0.4),
    right: metres(0.6, 0.8),
    cut: metres(0.3, 0.6),
  })
  .map(({ shape, widthM: w, depthM: h, left, right, cut }): Spot[] => {
    const [a, b, c] = [left * w, right * w, cut * h];
    switch (shape) {
      case 'L':
        return [
          [0, 0],
          [w, 0],
          [w, c],
          [a, c],
          [a, h],
          [0, h],
        ];
      case 'U':
        return [
          [0, 0],
          [w, 0],
          [w, h],
          [b, h],
          [b, c],
          [a, c],
          [a, h],
          [0, h],
        ];
      case 'T':
        return [
          [a, 0],
          [b, 0],
          [b, c],
          [w, c],
          [w, h],
          [0, h],
          [0, c],
          [a, c],
        ];
      default:
        return [
          [0, 0],
          [w, 0],
          [w, h],
          [0, h],
        ];
    }
  });

const blob: fc.Arbitrary<Spot[]> = fc
  .record({
    corners: fc.oneof({ weight: 7, arbitrary: fc.integer({ min: 5, max: 16 }) }, fc.integer({ min: 17, max: 60 })),
    radiusM: sizeM.map((acrossM) => acrossM / 2),
    waves: fc.array(fc.record({ size: metres(0, 0.18), phase: metres(0, 6.28) }), { minLength: 1, maxLength: 4 }),
  })
  .map(({ corners, radiusM, waves }) =>
    Array.from({ length: corners }, (_, i): Spot => {
      const angle = (2 * Math.PI * i) / corners;
      const swell = waves.reduce((sum, { size, phase }, k) => sum + size * Math.cos((k + 2) * angle + phase), 1);
      return [radiusM * swell * Math.cos(angle) + radiusM, radiusM * swell * Math.sin(angle) + radiusM];
    }),
  );

/** Keeps drawn widths off the round numbers of the rules, where rounding alone would tip a decision. */
const OFF_LIMITS_M = 0.0037;

/** Rooms in a row, joined by necks of 0.3 to 4 m: mown through, driven through, or too narrow. */
const lobes: fc.Arbitrary<Spot[]> = fc
  .array(
    fc.record({
      lengthM: metres(2, 8),
      halfM: metres(1.2, 4),
      neckHalfM: metres(0.15, 2),
      neckLengthM: metres(0.5, 4),
    }),
    { minLength: 2, maxLength: 3 },
  )
  .map((rooms) => {
    const side: Spot[] = [];
    let x = 0;
    rooms.forEach(({ lengthM, halfM, neckHalfM, neckLengthM }, i) => {
      side.push([x, halfM], [x + lengthM, halfM]);
      x += lengthM;
      if (i === rooms.length - 1) return;
      side.push([x, neckHalfM + OFF_LIMITS_M], [x + neckLengthM + OFF_LIMITS_M, neckHalfM + OFF_LIMITS_M]);
      x += neckLengthM + OFF_LIMITS_M;
    });
    return [...side.map(([u, v]): Spot => [u, -v]), ...side.toReversed()];
  });

/** Where things may lie: over most lawns and somewhat beyond. */
export const acrossM = fc.oneof({ weight: 4, arbitrary: metres(-2, 14) }, metres(-5, 40));

export const outline: fc.Arbitrary<Spot[]> = fc.oneof(rectilinear, blob, lobes);

export const roundThing = (reachM: number): fc.Arbitrary<Spot[]> =>
  fc
    .record({
      x: acrossM,
      y: acrossM,
      radiusM: metres(0.2, reachM),
      corners: fc.integer({ min: 3, max: 16 }),
    })
    .map(({ x, y, radiusM, corners }) =>
      Array.from({ length: corners }, (_, i): Spot => {
        const angle = (2 * Math.PI * i) / corners;
        return [x + radiusM * Math.cos(angle), y + radiusM * Math.sin(angle)];
      }),
    );

/** Sheds, beds, terraces: a box at any angle. */
export const box = (reachM: number): fc.Arbitrary<Spot[]> =>
  fc
    .record({
      x: acrossM,
      y: acrossM,
      widthM: metres(0.2, 2 * reachM),
      depthM: metres(0.2, 2 * reachM),
      turn: fc.oneof(fc.constant(0), metres(0, 3.14)),
    })
    .map(({ x, y, widthM, depthM, turn }) =>
      rectangle(-widthM / 2, -depthM / 2, widthM, depthM).map(
        ([u, v]): Spot => [x + u * Math.cos(turn) - v * Math.sin(turn), y + u * Math.sin(turn) + v * Math.cos(turn)],
      ),
    );

export function rectangle(x: number, y: number, widthM: number, depthM: number): Spot[] {
  return [
    [x, y],
    [x + widthM, y],
    [x + widthM, y + depthM],
    [x, y + depthM],
  ];
}
