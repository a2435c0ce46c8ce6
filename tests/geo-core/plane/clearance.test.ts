import { describe, expect, it } from 'vitest';
import type { Polygon } from '#geo-core/model/position.ts';
import { type ClearanceWidths, clearanceZones } from '#geo-core/plane/clearance-zones.ts';
import { distanceM, lineLengthM } from '#geo-core/plane/measure.ts';
import reference from '../../../fixtures/reference/offset.json' with { type: 'json' };
import { box, moved, polygonOf, polygonOfWkt, seeded, twoRooms } from '../../support/shapes.ts';

const WIDTHS = { mowWidthM: 2, driveWidthM: 0.8 };
const shapes: Record<string, string> = reference.offsets.shapes_wkt;
const clearanceGraph = (polygon: Polygon, widths: ClearanceWidths) => {
  const { zones, rest, ways } = clearanceZones(polygon, widths);
  const bottlenecks = ways.map((way) => ({ ...way, lengthM: lineLengthM(way.centreLine ?? new Float64Array()) }));
  return { places: zones.map(({ widest }) => widest), bottlenecks, rest };
};
const widthsOf = ({ bottlenecks }: ReturnType<typeof clearanceGraph>) => bottlenecks.map(({ widthM }) => widthM);
/** Full circles are told with a micrometre to spare: half the mowing width of 2 m less that. */
const FULL_M = 1 - 1e-6;

describe('passages', () => {
  it('the corridor of the dumbbell is exactly 1 m wide, and narrower than 2 m over 10 m and two ends of sqrt(1 - 1/4) m', () => {
    const { places, bottlenecks } = clearanceGraph(polygonOfWkt(shapes.dumbbell), WIDTHS);
    expect(places.map(({ radiusM }) => radiusM)).toEqual([expect.closeTo(5, 9), expect.closeTo(5, 9)]);
    expect(bottlenecks).toHaveLength(1);
    const [{ widthM, lengthM, touches, isAlternative }] = bottlenecks;
    expect(widthM).toBeCloseTo(1, 9);
    expect(lengthM).toBeCloseTo(10 + 2 * Math.sqrt(FULL_M ** 2 - 0.25), 9);
    expect(touches.map(({ y }) => y).sort()).toEqual([expect.closeTo(4.5, 9), expect.closeTo(5.5, 9)]);
    expect(isAlternative).toBe(false);
  });

  it('the dumbbell is one place just under the width of its corridor and two just over it', () => {
    const places = (mowWidthM: number) =>
      clearanceGraph(polygonOfWkt(shapes.dumbbell), { ...WIDTHS, mowWidthM }).places.length;
    expect(places(2 * 0.499)).toBe(1);
    expect(places(2 * 0.501)).toBe(2);
    expect(places(2 * 4.9)).toBe(2);
    expect(places(2 * 5.1)).toBe(0);
  });

  it('a thousand corridors of known width, turned and moved at random, are all measured within a tenth of a micrometre', () => {
    const random = seeded(20_240);
    const misses: number[] = [];
    for (let k = 0; k < 1000; k++) {
      const widthM = 0.45 + 1.5 * random();
      const rooms = twoRooms(widthM, 0.02 + 6 * random(), 0.5 + 7 * random());
      const cosine = 2 * random() - 1;
      const ground = moved(rooms, cosine, Math.sqrt(1 - cosine * cosine), 600 * random() - 300, 600 * random() - 300);
      const { places, bottlenecks } = clearanceGraph(ground, WIDTHS);
      expect([places.length, bottlenecks.length], `case ${k}`).toEqual([2, 1]);
      misses.push(Math.abs(bottlenecks[0].widthM - widthM));
    }
    expect(Math.max(...misses)).toBeLessThan(1e-7);
  });

  it('measures corner to corner, corner to wall and between slanting walls', () => {
    const cornerToCorner = polygonOf([
      ...box(0, 0, 24, 10).slice(0, 1),
      [12, 0],
      [11, 4],
      [13, 0],
      ...box(0, 0, 24, 10).slice(1, 3),
      [13, 10],
      [12, 5],
      [11, 10],
      [0, 10],
    ]);
    expect(widthsOf(clearanceGraph(cornerToCorner, WIDTHS))).toEqual([expect.closeTo(Math.SQRT2, 9)]);
    const cornerToWall = polygonOf([
      [0, 0],
      [24, 0],
      [24, 10],
      [14, 10],
      [12, 1.3],
      [10, 10],
      [0, 10],
    ]);
    expect(widthsOf(clearanceGraph(cornerToWall, WIDTHS))).toEqual([expect.closeTo(1.3, 9)]);
    // Walls y = 4 + (x - 10) / 10 and y = 6 draw together until x = 19: 1.1 m, seen square to the slanting wall from the corner (19, 6).
    const slanting = polygonOf([
      [0, 0],
      [10, 0],
      [10, 4],
      [20, 5],
      [20, 0],
      [30, 0],
      [30, 10],
      [19, 10],
      [19, 6],
      [10, 6],
      [10, 10],
      [0, 10],
    ]);
    expect(widthsOf(clearanceGraph(slanting, WIDTHS))).toEqual([expect.closeTo(1.1 / Math.sqrt(1.01), 9)]);
  });

  it('a way of no length, between two sheets that face each other, is found as well', () => {
    const pinched = polygonOf([
      [0, 0],
      [10, 0],
      [10, 4],
      [10.001, 4],
      [10.001, 0],
      [20, 0],
      [20, 10],
      [10.001, 10],
      [10.001, 5.5],
      [10, 5.5],
      [10, 10],
      [0, 10],
    ]);
    const { bottlenecks } = clearanceGraph(pinched, WIDTHS);
    expect(bottlenecks.map(({ widthM }) => widthM)).toEqual([expect.closeTo(1.5, 9)]);
    // From full circle to full circle: a radius of 1 m touches both corners of each sheet sqrt(1 - 0.75^2) m before it.
    expect(bottlenecks[0].lengthM).toBeCloseTo(0.001 + 2 * Math.sqrt(FULL_M ** 2 - 0.5625), 6);
  });

  it('tells every way of a chain of rooms, widest first', () => {
    const gaps = [0.9, 1.7, 0.6, 1.2, 1.5];
    const lower: [number, number][] = [[0, 0]];
    const upper: [number, number][] = [[0, 8]];
    gaps.forEach((gap, i) => {
      const x = 8 * (i + 1);
      lower.push([x - 1, 0], [x - 1, 3], [x + 1, 3], [x + 1, 0]);
      upper.push([x - 1, 8], [x - 1, 3 + gap], [x + 1, 3 + gap], [x + 1, 8]);
    });
    const end = 8 * (gaps.length + 1);
    const chain = polygonOf([...lower, [end, 0], [end, 8], ...upper.toReversed()]);
    const graph = clearanceGraph(chain, WIDTHS);
    expect(graph.places).toHaveLength(6);
    expect(widthsOf(graph)).toEqual(gaps.toSorted((a, b) => b - a).map((gap) => expect.closeTo(gap, 9)));
    expect(graph.bottlenecks.every(({ isAlternative }) => !isAlternative)).toBe(true);
  });

  it('says which of the ways round two islands is the widest and which are alternatives', () => {
    const islands = polygonOf(box(0, 0, 20, 10), box(9, 1, 1, 3.5), box(9, 5.7, 1, 3.3));
    const { places, bottlenecks } = clearanceGraph(islands, WIDTHS);
    expect(places).toHaveLength(2);
    expect(bottlenecks.map(({ widthM, isAlternative }) => [widthM, isAlternative])).toEqual([
      [expect.closeTo(1.2, 9), false],
      [expect.closeTo(1, 9), true],
      [expect.closeTo(1, 9), true],
    ]);
  });

  it('a narrow side of a ring is a way round its hole: both its ends belong to the same ground', () => {
    const ring = clearanceGraph(polygonOf(box(0, 0, 20, 16), box(1.2, 5, 8, 6)), WIDTHS);
    expect(ring.places).toHaveLength(1);
    expect(ring.bottlenecks).toMatchObject([{ between: [0, 0], isAlternative: true }]);
    expect(widthsOf(ring)).toEqual([expect.closeTo(1.2, 9)]);
    expect(ring.rest).toHaveLength(1);
  });

  it('the comb, asked for 4.5 m, is three places joined by 4 m', () => {
    // Corner places: c = (4 - c) sqrt 2; the middle one 2.5 (centre (11, 2.5), corners (9, 4) and (13, 4), ground line).
    const { places, bottlenecks } = clearanceGraph(polygonOfWkt(shapes.comb), { mowWidthM: 4.5, driveWidthM: 0.8 });
    const corner = 4 * Math.SQRT2 * (Math.SQRT2 - 1);
    expect(places.map(({ radiusM }) => radiusM)).toEqual([2.5, corner, corner].map((r) => expect.closeTo(r, 7)));
    expect(bottlenecks.map(({ widthM }) => widthM)).toEqual([expect.closeTo(4, 9), expect.closeTo(4, 9)]);
  });

  it('a spiral of 3 m is one place up to 3 m and has none beyond its corners', () => {
    // Corridor of 3 m, walls 1 m thick, square turns. At a turn the circle touches both outer walls and the inner corner: r = (3 - r) sqrt 2.
    const spiral = polygonOf([
      [0, 0],
      [19, 0],
      [19, 19],
      [4, 19],
      [4, 8],
      [11, 8],
      [11, 11],
      [7, 11],
      [7, 16],
      [16, 16],
      [16, 3],
      [3, 3],
      [3, 22],
      [0, 22],
    ]);
    const at = (mowWidthM: number) => clearanceGraph(spiral, { mowWidthM, driveWidthM: 0.8 });
    expect(at(2.999).places).toHaveLength(1);
    const beyond = at(3.001);
    expect(beyond.places.length).toBeGreaterThan(3);
    expect(beyond.bottlenecks).toHaveLength(beyond.places.length - 1);
    for (const { widthM } of beyond.bottlenecks) expect(widthM).toBeCloseTo(3, 9);
    for (const { radiusM } of beyond.places) expect(radiusM).toBeCloseTo(3 * Math.SQRT2 * (Math.SQRT2 - 1), 7);
  });

  it('the centre line runs inside, between two circles of the mowing width, through the narrowest place', () => {
    const { bottlenecks } = clearanceGraph(twoRooms(1.4, 5, 2), WIDTHS);
    const [{ centreLine, lengthM, between }] = bottlenecks;
    expect(between.toSorted()).toEqual([0, 1]);
    expect(lengthM).toBeCloseTo(5 + 2 * Math.sqrt(FULL_M ** 2 - 0.49), 9);
    expect(centreLine?.filter((_, i) => i % 2 === 1).every((y) => Math.abs(y - 2.7) < 1e-9)).toBe(true);
  });
});

describe('the same ground drawn otherwise', () => {
  const ground = polygonOf(
    [
      [0, 0],
      [9, 0],
      [9, 3],
      [14, 4],
      [14, 1],
      [25, 1],
      [25, 12],
      [14, 12],
      [14, 5.5],
      [9, 4.25],
      [9, 10],
      [0, 10],
    ],
    box(2, 2, 1, 1),
    box(18, 5, 2, 2),
  );

  it('gives the same figures bit for bit wherever its rings start and whichever hole comes first', () => {
    const expected = clearanceGraph(ground, WIDTHS);
    expect(expected.bottlenecks).toHaveLength(1);
    for (const by of [2, 8, 14]) {
      const turned: Polygon = {
        outer: Float64Array.from([...ground.outer.slice(by), ...ground.outer.slice(0, by)]),
        holes: ground.holes.map((hole) => Float64Array.from([...hole.slice(4), ...hole.slice(0, 4)])).toReversed(),
      };
      expect(clearanceGraph(turned, WIDTHS)).toEqual(expected);
    }
  });

  it('gives the same figures bit for bit with further vertices along its edges', () => {
    const between = (ring: Float64Array): Float64Array =>
      Float64Array.from(
        Array.from({ length: ring.length / 2 }, (_, i) => {
          const [ax, ay, bx, by] = [2 * i, 2 * i + 1, (2 * i + 2) % ring.length, (2 * i + 3) % ring.length].map(
            (k) => ring[k],
          );
          return [ax, ay, ax + 0.25 * (bx - ax), ay + 0.25 * (by - ay), (ax + bx) / 2, (ay + by) / 2];
        }).flat(),
      );
    const dense = { outer: between(ground.outer), holes: ground.holes.map(between) };
    expect(clearanceGraph(dense, WIDTHS)).toEqual(clearanceGraph(ground, WIDTHS));
  });
});

describe('ground that is hard to read', () => {
  it.each<[string, Polygon]>([
    ['no ring at all', { outer: new Float64Array(0), holes: [] }],
    [
      'a line',
      polygonOf([
        [0, 0],
        [5, 0],
        [10, 0],
      ]),
    ],
    [
      'a point drawn five times',
      polygonOf([
        [1, 1],
        [1, 1],
        [1, 1],
        [1, 1],
        [1, 1],
      ]),
    ],
    [
      'a needle',
      polygonOf([
        [0, 0],
        [40, 0.00001],
        [40, 0.00002],
      ]),
    ],
    [
      'a zero-width spike',
      polygonOf([
        [0, 0],
        [10, 0],
        [10, 5],
        [30, 5],
        [10, 5],
        [10, 10],
        [0, 10],
      ]),
    ],
    ['holes that touch each other', polygonOf(box(0, 0, 20, 10), box(8, 3, 2, 2), box(10, 5, 2, 2))],
    [
      'a hole that touches the outer ring',
      polygonOf(box(0, 0, 20, 10), [
        [10, 0],
        [9, 4],
        [11, 4],
      ]),
    ],
    [
      'collinear runs',
      polygonOf([...Array.from({ length: 60 }, (_, i): [number, number] => [i / 3, 0]), [20, 8], [0, 8]]),
    ],
    [
      'a fan of slits',
      polygonOf([
        ...Array.from({ length: 30 }, (_, i): [number, number] => [i, i % 2 === 0 ? 0 : 9.99]),
        [29, 10],
        [0, 10],
      ]),
    ],
  ])('%s is answered, not thrown at', (_, polygon) => {
    const { places, bottlenecks } = clearanceGraph(polygon, WIDTHS);
    for (const { radiusM } of places) expect(radiusM).toBeGreaterThanOrEqual(1 - 1e-6);
    for (const { between, touches, widthM } of bottlenecks) {
      expect(between.every((index) => index < places.length)).toBe(true);
      expect(distanceM(touches[0].x, touches[0].y, touches[1].x, touches[1].y)).toBeCloseTo(widthM, 9);
    }
  });

  it('corners on the grid of 0.01 mm move a width by no more than the grid', () => {
    const random = seeded(7);
    for (let k = 0; k < 100; k++) {
      const widthM = 0.5 + 1.4 * random();
      const cosine = random();
      const ground = moved(
        twoRooms(widthM, 3, 4),
        cosine,
        Math.sqrt(1 - cosine * cosine),
        50 * random(),
        50 * random(),
      );
      const onGrid = { outer: ground.outer.map((v) => Math.round(v * 1e5) / 1e5), holes: [] };
      const { bottlenecks } = clearanceGraph(onGrid, WIDTHS);
      expect(bottlenecks).toHaveLength(1);
      expect(Math.abs(bottlenecks[0].widthM - widthM)).toBeLessThan(2e-5);
    }
  });
});
