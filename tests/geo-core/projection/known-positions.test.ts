import fc from 'fast-check';
import { expect, test } from 'vitest';
import { knownPositions } from '#geo-core/projection/known-positions.ts';

const place = fc.tuple(
  fc.integer({ min: -40, max: 40 }),
  fc.oneof(
    fc.integer({ min: -40, max: 40 }),
    fc.double({ noNaN: true }).map((y) => y + 0),
  ),
);

test('every place is looked for once, however many there are, and answered the same', () => {
  fc.assert(
    fc.property(fc.array(place, { maxLength: 2000, size: 'max' }), (places) => {
      let asked = 0;
      const positionAt = knownPositions((x, y) => {
        asked++;
        return [x, y];
      });
      for (const [x, y] of [...places, ...places]) expect(positionAt(x, y)).toEqual([x, y]);
      expect(asked).toBe(new Set(places.map(String)).size);
    }),
    { seed: 20_240, numRuns: 20 },
  );
});
