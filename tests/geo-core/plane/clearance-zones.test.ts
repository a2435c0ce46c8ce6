import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import { clearanceZones } from '#geo-core/plane/clearance-zones.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { polygonAreaM2, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { box, moved, polygonOf, seeded, twoRooms } from '../../support/shapes.ts';

useKernel();

const WIDTHS = { mowWidthM: 2, driveWidthM: 0.8 };
const GRID_M = 1e-5;
/** Full circles are told with a micrometre to spare: half the mowing width of 2 m less that. */
const FULL_M = 1 - 1e-6;
const zonesOf = (polygon: Polygon) => clearanceZones(polygon, WIDTHS);
const areasOf = ({ zones, rest }: ReturnType<typeof zonesOf>) => ({
  zones: zones.map(({ areaM2 }) => areaM2).toSorted((a, b) => b - a),
  rest: rest.map(polygonAreaM2),
});

describe('zones of a polygon', () => {
  it('one wide room with its corners is one zone, the polygon itself', () => {
    const room = polygonOf(box(0, 0, 20, 12));
    const { zones, rest } = zonesOf(room);
    expect(zones.map(({ polygons }) => polygons)).toEqual([[room]]);
    expect(rest).toEqual([]);
  });

  it('a corridor belongs to neither of its rooms', () => {
    expect(areasOf(zonesOf(twoRooms(1, 10, 4.5)))).toEqual({ zones: [100, 100], rest: [expect.closeTo(10, 9)] });
  });

  it('a tail that reaches farther than the mowing width is not zone ground; a nook that does not is', () => {
    const withBay = (depthM: number) =>
      polygonOf([
        ...box(0, 0, 10, 10).slice(0, 2),
        [10, 4],
        [10 + depthM, 4],
        [10 + depthM, 5.2],
        [10, 5.2],
        [10, 10],
        [0, 10],
      ]);
    expect(areasOf(zonesOf(withBay(5)))).toEqual({ zones: [expect.closeTo(100, 9)], rest: [expect.closeTo(6, 9)] });
    expect(areasOf(zonesOf(withBay(1)))).toEqual({ zones: [expect.closeTo(101.2, 9)], rest: [] });
  });

  it('the narrow side of a ring is cut off at both ends, where a full circle last fits', () => {
    // Gap of 1.2 m between x = 0 and the island's side x = 1.2, y 5 to 11: the full circle rolls along the outer wall until it
    // touches the island's corner, 1.2 m less its radius aside of its centre; the chord runs from that corner to the wall.
    const { zones, rest } = zonesOf(polygonOf(box(0, 0, 20, 16), box(1.2, 5, 8, 6)));
    expect(zones).toHaveLength(1);
    const beyondM = Math.sqrt(FULL_M ** 2 - (1.2 - FULL_M) ** 2);
    expect(rest.map(polygonAreaM2)).toEqual([expect.closeTo(1.2 * (6 + beyondM), 9)]);
  });

  it('rooms joined by a way far too narrow to drive are parted, and the way is measured', () => {
    for (const widthM of [0.3, 0.05, 0.012, 0.0001]) {
      const parted = zonesOf(twoRooms(widthM, 3, 4));
      expect(parted.ways.map((way) => way.widthM)).toEqual([expect.closeTo(widthM, 9)]);
      expect(areasOf(parted)).toEqual({ zones: [100, 100], rest: [expect.closeTo(3 * widthM, 9)] });
    }
  });

  it('rooms that touch in one point come apart', () => {
    const bowTie = polygonOf([
      ...box(0, 0, 10, 10).slice(0, 2),
      [10, 5],
      [20, 0],
      [30, 0],
      [30, 10],
      [20, 10],
      [10, 5],
      [10, 10],
      [0, 10],
    ]);
    expect(areasOf(zonesOf(bowTie))).toEqual({ zones: [150, 100], rest: [] });
    const islandWallToWall = polygonOf(box(0, 0, 20, 10), [
      [10, 0],
      [11, 5],
      [10, 10],
      [9, 5],
    ]);
    expect(areasOf(zonesOf(islandWallToWall))).toEqual({ zones: [95, 95], rest: [] });
  });
});

describe('ground that was never cleaned', () => {
  it('crossing rings and holes outside are answered with zones of the mowing width, not thrown at', () => {
    const random = seeded(99);
    const scrawl = (corners: number, stepM: number): Float64Array =>
      Float64Array.from({ length: 2 * corners }, () => Math.round((random() * 25) / stepM) * stepM);
    for (let k = 0; k < 60; k++) {
      const stepM = [GRID_M, 0.01, 0.5, 1][k % 4];
      const holes = Array.from({ length: k % 3 }, () => scrawl(3 + Math.floor(random() * 6), stepM));
      const { zones, rest } = zonesOf({ outer: scrawl(3 + Math.floor(random() * 20), stepM), holes });
      for (const { widest } of zones) expect(widest.radiusM).toBeGreaterThanOrEqual(1 - 1e-6);
      for (const part of [...rest, ...zones.flatMap(({ polygons }) => polygons)]) {
        expect(part.outer.every(Number.isFinite)).toBe(true);
      }
    }
  });
});

/** Grounds of overlapping rooms, corridors and rounds, less some islands: corners, curves, necks, holes. */
function groundsOf(seed: number): Polygon[] {
  const random = seeded(seed);
  const some = (most: number): undefined[] => Array.from({ length: Math.floor(random() * (most + 1)) });
  const between = (low: number, high: number): number => low + (high - low) * random();
  const turn = between(-1, 1);
  const room = (width: number, height: number): Float64Array => {
    const ring = polygonOf(box(between(0, 26), between(0, 26), width, height));
    return moved(ring, turn, Math.sqrt(1 - turn * turn), 0, 0).outer;
  };
  const round = (radius: number): Float64Array => {
    const [x, y] = [between(-26, 26), between(0, 36)];
    const corners = Array.from({ length: 24 }, (_, i) => [
      x + radius * Math.cos((i * Math.PI) / 12),
      y + radius * Math.sin((i * Math.PI) / 12),
    ]);
    return Float64Array.from(corners.flat());
  };
  const rooms = some(6).map(() => room(between(2, 10), between(2, 10)));
  const across = some(4).map(() => room(between(5, 16), between(0.5, 2.3)));
  const along = some(4).map(() => room(between(0.5, 2.3), between(5, 16)));
  const rounds = some(4).map(() => round(between(0.8, 5)));
  const islands = some(9).map(() => round(between(0.2, 2.5)));
  const solid = kernel().positiveUnion([...rooms, ...across, ...along, ...rounds], GRID_M);
  return polygonsFromRings(kernel().difference(solid, islands, GRID_M));
}
const seeds = fc.integer({ min: 1, max: 1_000_000_000 });

/** Parts that are left where the ground is eroded by half a width. */
const eroded = (polygon: Polygon, widthM: number): Polygon[] =>
  polygonsFromRings(kernel().offset(ringsOf([polygon]), -widthM / 2, GRID_M));
const boundaryDistanceM = (polygon: Polygon, { x, y }: PlanePoint): number =>
  Math.min(
    ...ringsOf([polygon]).flatMap((ring) =>
      Array.from({ length: ring.length / 2 }, (_, i) => {
        const [ax, ay, bx, by] = [0, 1, 2, 3].map((k) => ring[(2 * i + k) % ring.length]);
        return pointSegmentM(x, y, ax, ay, bx, by);
      }),
    ),
  );
/** The places of a grid of 0.4 m that lie in polygons. */
function gridInside(polygons: readonly Polygon[]): PlanePoint[] {
  const xs = polygons.flatMap(({ outer }) => [...outer.filter((_, i) => i % 2 === 0)]);
  const ys = polygons.flatMap(({ outer }) => [...outer.filter((_, i) => i % 2 === 1)]);
  const places: PlanePoint[] = [];
  for (let x = Math.min(...xs); x < Math.max(...xs); x += 0.4) {
    for (let y = Math.min(...ys); y < Math.max(...ys); y += 0.4) {
      if (partAt(polygons, { x, y }) >= 0) places.push({ x, y });
    }
  }
  return places;
}
const partAt = (parts: readonly Polygon[], at: PlanePoint): number =>
  parts.findIndex((part) => pointInPolygon(part, at.x, at.y));

describe('held against two erosions by the polygon kernel', () => {
  // Widths within 2 mm of a limit may be told either way by an erosion with round joins of 0.25 mm chords.
  const SLACK_M = 0.002;

  it('there are as many zones as parts at the mowing width; zones and rest make up the ground', () => {
    let parted = 0;
    fc.assert(
      fc.property(seeds, (seed) => {
        for (const polygon of groundsOf(seed)) {
          const { zones, rest } = zonesOf(polygon);
          const counts = [-SLACK_M, 0, SLACK_M].map((by) => eroded(polygon, WIDTHS.mowWidthM + by).length);
          expect(zones.length).toBeGreaterThanOrEqual(Math.min(...counts));
          expect(zones.length).toBeLessThanOrEqual(Math.max(...counts));
          const areaM2 = polygonAreaM2(polygon);
          const sumM2 = totalAreaM2([...zones.flatMap((zone) => zone.polygons), ...rest]);
          expect(Math.abs(sumM2 - areaM2)).toBeLessThanOrEqual(1e-4 * areaM2);
          if (zones.length > 1) parted++;
        }
      }),
      { seed: 40, endOnFailure: true, numRuns: 300 },
    );
    expect(parted).toBeGreaterThan(50);
  });

  it('every circle of the mowing width lies in one zone, and no place of a grid is wider than the widest', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        for (const polygon of groundsOf(seed)) {
          const { zones } = zonesOf(polygon);
          for (const core of eroded(polygon, WIDTHS.mowWidthM + SLACK_M)) {
            const holders = zones.filter((zone) =>
              zone.polygons.some(
                (ground) => kernel().difference(ringsOf([core]), ringsOf([ground]), GRID_M).length === 0,
              ),
            );
            expect(holders).toHaveLength(1);
          }
          for (const { widest, polygons: own } of zones) {
            expect(boundaryDistanceM(polygon, widest.at)).toBeCloseTo(widest.radiusM, 9);
            expect(partAt(own, widest.at)).toBe(0);
            const farthestM = Math.max(0, ...gridInside(own).map((at) => boundaryDistanceM(polygon, at)));
            expect(farthestM).toBeLessThanOrEqual(widest.radiusM + 1e-9);
          }
        }
      }),
      { seed: 41, endOnFailure: true, numRuns: 150 },
    );
  });

  it('two zones hang together just under the width of the way between them, and not just over it', () => {
    let checked = 0;
    fc.assert(
      fc.property(seeds, (seed) => {
        for (const polygon of groundsOf(seed)) {
          const { zones, ways } = zonesOf(polygon);
          for (const { widthM, between, isAlternative } of ways) {
            if (widthM < 0.02 || isAlternative) continue;
            checked++;
            const [one, two] = between.map((index) => zones[index].widest.at);
            const under = eroded(polygon, widthM - SLACK_M);
            expect(partAt(under, one)).toBe(partAt(under, two));
            const over = eroded(polygon, widthM + SLACK_M);
            expect(partAt(over, one)).not.toBe(partAt(over, two));
          }
        }
      }),
      { seed: 42, endOnFailure: true, numRuns: 300 },
    );
    expect(checked).toBeGreaterThan(50);
  });
});
