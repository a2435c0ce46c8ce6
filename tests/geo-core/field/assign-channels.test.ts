import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { assignChannels } from '#geo-core/field/assign-channels.ts';
import { disturbedNeighbours } from '#geo-core/field/disturbed-neighbours.ts';
import { planNeighbours } from '#geo-core/index.ts';
import type { Plan, Position } from '#geo-core/model/plan.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { goldenRules, rectangle } from '../../support/golden-garden.ts';

const pairsOf = (count: number, hangs: (one: number, other: number) => boolean): [number, number][] =>
  Array.from({ length: count }, (_, one) => one).flatMap((one) =>
    Array.from({ length: count - one - 1 }, (_, i): [number, number] => [one, one + 1 + i]).filter(([a, b]) =>
      hangs(a, b),
    ),
  );

/** The least number of channels by trying 1, 2, ... on every item. */
function fewestByTrying(count: number, pairs: readonly (readonly [number, number])[]): number {
  const fits = (channels: number, channelOf: readonly number[]): boolean => {
    const item = channelOf.length;
    if (item === count) return true;
    for (let channel = 0; channel < channels; channel++) {
      if (pairs.some(([a, b]) => b === item && channelOf[a] === channel)) continue;
      if (fits(channels, [...channelOf, channel])) return true;
    }
    return false;
  };
  let channels = 0;
  while (!fits(channels, [])) channels++;
  return channels;
}

describe('channels', () => {
  test('are never shared by a pair, and as few as trying all assignments finds', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 8 }),
        fc.array(fc.boolean(), { minLength: 28, maxLength: 28 }),
        (count, drawn) => {
          const all = pairsOf(count, () => true);
          const pairs = all.filter((_, i) => drawn[i]);
          const { channelOf, count: used, atLeast, proven } = assignChannels(count, pairs);
          for (const [one, other] of pairs) expect(channelOf[one]).not.toBe(channelOf[other]);
          expect(proven).toBe(true);
          expect(used).toBe(fewestByTrying(count, pairs));
          expect(atLeast).toBeLessThanOrEqual(used);
        },
      ),
      { numRuns: 300, seed: 7 },
    );
  });

  test('a ring of five takes three though no three disturb each other, and that is proven', () => {
    const ring = Array.from({ length: 5 }, (_, i): [number, number] => [i, (i + 1) % 5]);
    expect(assignChannels(5, ring)).toMatchObject({ count: 3, atLeast: 2, proven: true });
  });

  test('the Mycielski graph of Groetzsch takes four without a triangle (J. Mycielski, Sur le coloriage des graphes, 1955)', () => {
    const ring = Array.from({ length: 5 }, (_, i): [number, number] => [i, (i + 1) % 5]);
    const shadows = ring.flatMap(([a, b]): [number, number][] => [
      [a, b + 5],
      [b, a + 5],
    ]);
    const top = Array.from({ length: 5 }, (_, i): [number, number] => [i + 5, 10]);
    expect(assignChannels(11, [...ring, ...shadows, ...top])).toMatchObject({ count: 4, atLeast: 2, proven: true });
  });

  test('ten thousand gardens along a street take two, at once', () => {
    const street = Array.from({ length: 9_999 }, (_, i): [number, number] => [i, i + 1]);
    expect(assignChannels(10_000, street)).toMatchObject({ count: 2, proven: true });
  });
});

describe('neighbours', () => {
  const garden = (x: number, y: number, sideM = 20) => {
    const outer = rectangle(x, y, x + sideM, y + sideM);
    return { routes: [Float64Array.from([...outer, outer[0], outer[1]])], workingArea: [{ outer, holes: [] }] };
  };

  test('lawns that touch but for half a metre disturb each other, those across the street do not', () => {
    const { pairs, channels } = disturbedNeighbours([garden(0, 0), garden(20.5, 0), garden(80, 0)], goldenRules);
    expect(pairs.map(({ between }) => between)).toEqual([[0, 1]]);
    expect(pairs[0].distanceM).toBeCloseTo(0.5, 9);
    expect(pairs[0].strayFieldNt).toBeGreaterThan(goldenRules.strayFieldMaxNt);
    expect(channels).toMatchObject({ count: 2, proven: true });
    expect(channels.channelOf[0]).not.toBe(channels.channelOf[1]);
  });

  test('a stronger limit reaches farther: the field of a loop falls with its distance', () => {
    const gardens = [garden(0, 0), garden(26, 0)];
    const strictest = { ...goldenRules, strayFieldMaxNt: 5 };
    const loosest = { ...goldenRules, strayFieldMaxNt: 100 };
    expect(disturbedNeighbours(gardens, strictest).pairs).toHaveLength(1);
    expect(disturbedNeighbours(gardens, loosest).pairs).toEqual([]);
  });

  test('four gardens round one corner take four channels, a fifth beside two of them none more', () => {
    const corner = [garden(0, 0), garden(20.5, 0), garden(0, 20.5), garden(20.5, 20.5)];
    const { channels } = disturbedNeighbours([...corner, garden(41, 0)], goldenRules);
    expect(channels).toMatchObject({ count: 4, atLeast: 4, proven: true });
  });

  test('a garden without wire disturbs nobody', () => {
    const { pairs, channels } = disturbedNeighbours([garden(0, 0), { routes: [], workingArea: [] }], goldenRules);
    expect(pairs).toEqual([]);
    expect(channels.count).toBe(1);
  });
});

test('plans in longitude and latitude are neighbours as their gardens are, with the place of the stray field on the map', () => {
  const { toLonLat } = localPlaneProjection({ originLonDeg: 11.9, originLatDeg: 48.1 });
  const planAt = (x: number): Pick<Plan, 'features'> => {
    const outer = [...rectangle(x, 0, x + 20, 20), x, 0];
    const ring = Array.from({ length: outer.length / 2 }, (_, i): Position => {
      const [lonDeg, latDeg] = toLonLat(outer[2 * i], outer[2 * i + 1]);
      return [lonDeg, latDeg];
    });
    const route = {
      kind: 'route',
      lengthM: 80,
      groundLengthM: null,
      chainageM: [0, 20, 40, 60, 80],
      signalUnit: 1,
    } as const;
    return {
      features: [
        {
          type: 'Feature',
          id: 'working-area-1',
          properties: { kind: 'working-area', areaM2: 400, perimeterM: 80 },
          geometry: { type: 'Polygon', coordinates: [ring] },
        },
        {
          type: 'Feature',
          id: 'route-1',
          properties: { ...route, resistanceOhm: 1, warmResistanceOhm: 1 },
          geometry: { type: 'LineString', coordinates: ring },
        },
      ],
    };
  };
  const { pairs, channels } = planNeighbours([planAt(0), { features: [] }, planAt(20.5), planAt(90)], goldenRules);
  expect(pairs.map(({ between }) => between)).toEqual([[0, 2]]);
  expect(pairs[0].distanceM).toBeCloseTo(0.5, 6);
  const { x, y } = localPlaneProjection({ originLonDeg: 11.9, originLatDeg: 48.1 }).toPlane(...pairs[0].at);
  expect(x).toBeGreaterThan(19.9);
  expect(y).toBeGreaterThan(-0.1);
  expect(channels.count).toBe(2);
});
