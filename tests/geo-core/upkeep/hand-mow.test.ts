import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { HandMow } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { cornerPatches } from '#geo-core/upkeep/corner-patches.ts';
import { cutGround } from '#geo-core/upkeep/cut-ground.ts';
import { type HandMowGround, handMow } from '#geo-core/upkeep/hand-mow.ts';
import { rectangle, ring } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const GRID_M = 1e-5;
const box = (west: number, south: number, east: number, north: number): Polygon => ({
  outer: rectangle(west, south, east, north),
  holes: [],
});
const areaOf = (pieces: readonly HandMow[], cause: HandMow['cause']): number =>
  pieces.filter((piece) => piece.cause === cause).reduce((sum, { areaM2 }) => sum + areaM2, 0);

const grassOf = ({ lawn, keepOuts, gridM }: HandMowGround): Ring[] =>
  kernel().difference(ringsOf(lawn), ringsOf(keepOuts), gridM);
const mownAreaM2 = (ground: HandMowGround): number =>
  totalAreaM2(polygonsFromRings(kernel().intersection(grassOf(ground), cutGround(ground), ground.gridM)));

const bare: HandMowGround = {
  lawn: [],
  keepOuts: [],
  workingArea: [],
  zones: [],
  steep: [],
  reachM: 0.1,
  discM: 0.22,
  corners: [],
  edgeStripM: 0.8,
  gridM: GRID_M,
};

describe('grass left for the hand', () => {
  test('a strip of 0.2 m along the edge where the blades reach 0.1 m beyond a wire at 0.3 m', () => {
    const inside = box(0.3, 0.3, 19.7, 9.7);
    const ground = { ...bare, lawn: [box(0, 0, 20, 10)], workingArea: [inside], zones: [inside] };
    const left = handMow(ground);
    // Four corners that a disc of 0.11 m radius does not go into.
    const mownM2 = 19.6 * 9.6 - (4 - Math.PI) * 0.11 ** 2;
    expect(mownAreaM2(ground)).toBeCloseTo(mownM2, 3);
    expect(left.map(({ cause }) => cause)).toEqual(['edge-strip']);
    expect(left[0].areaM2).toBeCloseTo(200 - mownM2, 3);
  });

  test('blades that stop 0.1 m short of the wire leave a wider strip', () => {
    const inside = box(0.3, 0.3, 19.7, 9.7);
    const ground = { ...bare, lawn: [box(0, 0, 20, 10)], workingArea: [inside], zones: [inside], reachM: -0.1 };
    expect(areaOf(handMow(ground), 'edge-strip')).toBeCloseTo(200 - 19.2 * 9.2 + (4 - Math.PI) * 0.11 ** 2, 3);
  });

  test('a keep-out is no grass, the ring around it is a strip', () => {
    const inside: Polygon = {
      outer: rectangle(0, 0, 20, 10),
      holes: [ring([8.7, 3.7], [8.7, 6.3], [11.3, 6.3], [11.3, 3.7])],
    };
    const ground = {
      ...bare,
      lawn: [box(0, 0, 20, 10)],
      keepOuts: [box(9, 4, 11, 6)],
      workingArea: [inside],
      zones: [inside],
    };
    const left = handMow(ground);
    expect(mownAreaM2(ground)).toBeCloseTo(200 - 2.4 * 2.4, 6);
    expect(areaOf(left, 'edge-strip')).toBeCloseTo(2.4 * 2.4 - 4, 6);
  });

  test('the corners that the wire cuts are told apart from the strips, which have the length of their side', () => {
    const leg = 0.3;
    const inside: Polygon = {
      outer: ring([0.6, 0.3], [19.4, 0.3], [19.7, 0.6], [19.7, 9.4], [19.4, 9.7], [0.6, 9.7], [0.3, 9.4], [0.3, 0.6]),
      holes: [],
    };
    const lawn = box(0, 0, 20, 10);
    const offsetsM = Float64Array.of(0.3, 0.3, 0.3, 0.3);
    const edge = { ring: lawn.outer, beyond: [], offsetsM, from: [] };
    const corners = cornerPatches([{ outer: edge, holes: [] }], leg);
    const left = handMow({ ...bare, lawn: [lawn], workingArea: [inside], zones: [inside], corners });
    const strips = left.filter(({ cause }) => cause === 'edge-strip');
    expect(strips.map(({ lengthM }) => Math.round(100 * (lengthM ?? 0)) / 100).toSorted()).toEqual([
      18.8, 18.8, 8.8, 8.8,
    ]);
    // Chords of the disc's arcs lie inside them by up to a quarter of a millimetre.
    expect(areaOf(left, 'edge-strip')).toBeCloseTo(0.2 * 2 * (18.8 + 8.8), 3);
    // Of 0.6 x 0.6 m the disc reaches 0.4 x 0.4 m less the tip beyond the chamfer x + y = 0.9 moved out by 0.1 m; and a disc rounds off
    // the two turns of 45 degrees.
    const tipM = 0.5 - 0.1 * Math.SQRT2;
    const turnM2 = (Math.tan(Math.PI / 8) - Math.PI / 8) * 0.11 ** 2;
    expect(left.filter(({ cause }) => cause === 'corner')).toHaveLength(4);
    expect(areaOf(left, 'corner')).toBeCloseTo(4 * (0.36 - 0.16 + tipM ** 2 / 2 + 2 * turnM2), 3);
  });

  test('a disc does not go into a finger narrower than itself', () => {
    const finger = ring([0, 0], [10, 0], [10, 4], [14, 4], [14, 4.2], [10, 4.2], [10, 10], [0, 10]);
    const whole: Polygon = { outer: finger, holes: [] };
    const ground = { ...bare, lawn: [whole], workingArea: [whole], zones: [whole], reachM: 0 };
    expect(mownAreaM2(ground)).toBeLessThan(100);
    expect(mownAreaM2({ ...ground, discM: 0.18 })).toBeGreaterThan(100.7);
  });

  test('a passage that is only driven through is narrow, but for what the blades reach from the zones', () => {
    const west = box(0, 0, 10, 10);
    const east = box(14, 0, 24, 10);
    const both = ring(
      [0, 0],
      [10, 0],
      [10, 4],
      [14, 4],
      [14, 0],
      [24, 0],
      [24, 10],
      [14, 10],
      [14, 5],
      [10, 5],
      [10, 10],
      [0, 10],
    );
    const ground = {
      ...bare,
      lawn: [{ outer: both, holes: [] }],
      workingArea: [{ outer: both, holes: [] }],
      zones: [west, east],
    };
    const left = handMow(ground);
    expect(left.map(({ cause }) => cause)).toEqual(['narrow']);
    expect(left[0].areaM2).toBeCloseTo(3.8, 6);
  });

  test('a finger that no wire goes into is narrow beyond the edge strip', () => {
    const lawn = ring([0, 0], [10, 0], [10, 4], [20, 4], [20, 4.5], [10, 4.5], [10, 10], [0, 10]);
    const inside = box(0.3, 0.3, 9.7, 9.7);
    const ground = { ...bare, lawn: [{ outer: lawn, holes: [] }], workingArea: [inside], zones: [inside] };
    expect(areaOf(handMow(ground), 'narrow')).toBeCloseTo(0.5 * 9.5, 2);
  });

  test('a lawn in which nothing is mown is isolated', () => {
    const inside = box(0.3, 0.3, 9.7, 9.7);
    const ground = { ...bare, lawn: [box(0, 0, 10, 10), box(30, 0, 30.5, 8)], workingArea: [inside], zones: [inside] };
    expect(areaOf(handMow(ground), 'isolated')).toBeCloseTo(4, 6);
  });

  test('ground left out because it is steep is called so', () => {
    const inside = box(0, 0, 14, 10);
    const ground = {
      ...bare,
      lawn: [box(0, 0, 20, 10)],
      workingArea: [inside],
      zones: [inside],
      steep: [box(14.5, 0, 20, 10)],
    };
    const left = handMow(ground);
    expect(areaOf(left, 'steep')).toBeCloseTo(55, 6);
    expect(areaOf(left, 'edge-strip')).toBeCloseTo(4, 2);
  });

  test('no lawn: nothing', () => {
    expect(handMow(bare)).toEqual([]);
  });

  test('no wire at all: the whole lawn is isolated', () => {
    expect(areaOf(handMow({ ...bare, lawn: [box(0, 0, 20, 10)] }), 'isolated')).toBeCloseTo(200, 9);
  });

  test('grass = mown + hand-mow within 0.1 %, on any ground (seeded)', () => {
    const at = fc.integer({ min: 0, max: 3000 }).map((hundredths) => hundredths / 100);
    const boxes = (count: number) =>
      fc
        .array(fc.tuple(at, at, fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 12 })), { maxLength: count })
        .map((all) =>
          polygonsFromRings(
            kernel().positiveUnion(
              all.map(([x, y, w, h]) => rectangle(x, y, x + w, y + h)),
              GRID_M,
            ),
          ),
        );
    const ground = fc.record({
      lawn: boxes(6),
      keepOuts: boxes(4),
      workingArea: boxes(4),
      zones: boxes(4),
      steep: boxes(2),
      reachM: fc.constantFrom(-0.1, 0, 0.1, 0.3),
      discM: fc.constantFrom(0.1, 0.22, 0.5),
      corners: boxes(3).map(ringsOf),
      edgeStripM: fc.constantFrom(0.3, 0.8, 1.6),
    });
    fc.assert(
      fc.property(ground, (given) => {
        const left = handMow({ ...given, gridM: GRID_M });
        const grassM2 = grassOf({ ...given, gridM: GRID_M }).reduce((sum, one) => sum + ringAreaM2(one), 0);
        const foundM2 = mownAreaM2({ ...given, gridM: GRID_M }) + left.reduce((sum, { areaM2 }) => sum + areaM2, 0);
        expect(Math.abs(foundM2 - grassM2)).toBeLessThanOrEqual(0.001 * grassM2);
      }),
      { seed: 71, numRuns: 150 },
    );
  });
});
