import { describe, expect, test } from 'vitest';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { Piece } from '#geo-core/plane/chain.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, reversedRing } from '#geo-core/plane/polygons.ts';
import { shortestPath } from '#geo-core/plane/shortest-path.ts';
import routing from '../../../fixtures/reference/routing.json' with { type: 'json' };
import { rectangle, ring } from '../../support/golden-garden.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const flat = (points: readonly (readonly number[])[]): Ring => Float64Array.from(points.flat());
const clockwise = (hole: Ring): Ring => (ringAreaM2(hole) > 0 ? reversedRing(hole) : hole);
const point = (x: number, y: number, owner = 'point'): Piece => ({
  owner,
  edge: 0,
  ax: x,
  ay: y,
  bx: x,
  by: y,
  costM: 0,
});
const piece = (ax: number, ay: number, bx: number, by: number, owner = 'line', costM = 0): Piece => ({
  owner,
  edge: 0,
  ax,
  ay,
  bx,
  by,
  costM,
});
const ground = (outer: Ring, ...holes: Ring[]): Polygon[] => [{ outer, holes: holes.map(clockwise) }];

describe('closed forms of the taut string round named corners', () => {
  test.each(routing.shortest_paths.rows)('$id: $closed_form', (row) => {
    // The baffles touch the edge: they are cut out of the ground instead of standing in it as holes.
    const rings = kernel().difference([flat(row.boundary)], row.holes.map(flat), 1e-5);
    const path = shortestPath(polygonsFromRings(rings), [point(row.a[0], row.a[1])], [point(row.b[0], row.b[1])]);
    expect(Math.abs((path?.lengthM ?? 0) - row.length)).toBeLessThan(routing.shortest_paths.tolerance);
    expect(Array.from(path?.line ?? [])).toEqual(row.path.flat());
  });
});

describe('ends that are free along lines', () => {
  test('between two parallel lines the path stands in the middle of where they face each other', () => {
    const path = shortestPath(ground(rectangle(0, 0, 20, 10)), [piece(1, 1, 11, 1)], [piece(15, 8, 5, 8)]);
    expect(Array.from(path?.line ?? [])).toEqual([8, 1, 8, 8]);
  });

  test('an end on a slanting line is the foot of the perpendicular: 12 × 5 / 13 from the corner to the diagonal', () => {
    const path = shortestPath(ground(rectangle(0, 0, 12, 5)), [point(0, 0)], [piece(0, 5, 12, 0)]);
    expect(path?.lengthM).toBeCloseTo(60 / 13, 12);
  });

  test('a path round a corner leaves its line at right angles: 3 + √5² + 2² from the U to its other arm', () => {
    // From the line x = 1 square to the corner (6, 6), on to (14, 6), and square to the line x = 19.
    const u = ring([0, 0], [20, 0], [20, 15], [14, 15], [14, 6], [6, 6], [6, 15], [0, 15]);
    const path = shortestPath(ground(u), [piece(1, 1, 1, 14)], [piece(19, 14, 19, 7)]);
    expect(Array.from(path?.line ?? [])).toEqual([1, 6, 6, 6, 14, 6, 19, 7]);
    expect(path?.lengthM).toBeCloseTo(5 + 8 + Math.sqrt(26), 12);
  });

  test('the middle is taken by an obstacle: the path passes by its corner, no longer than before', () => {
    const path = shortestPath(
      ground(rectangle(0, 0, 20, 10), rectangle(6, 4, 14, 5)),
      [piece(1, 1, 19, 1)],
      [piece(1, 9, 19, 9)],
    );
    expect(path?.lengthM).toBe(8);
    expect([6, 14]).toContain(path?.line[0]);
  });

  test('of several targets the nearest by way of the ground is reached, not the nearest as the crow flies', () => {
    const targets = [point(10, 6, 'behind the wall'), point(3, 0.5, 'in the open')];
    const walled = ground(rectangle(0, 0, 20, 10), rectangle(1, 3, 19, 5));
    expect(shortestPath(walled, [point(10, 2)], targets)?.to.owner).toBe('in the open');
  });

  test('a piece that costs something is left where another is less than that much longer', () => {
    const sources = [piece(0, 0, 10, 0, 'cheap'), piece(10, 0, 20, 0, 'dear', 2)];
    const plain = ground(rectangle(0, 0, 20, 10));
    expect(shortestPath(plain, sources, [point(11.5, 2)])?.line).toEqual(Float64Array.of(10, 0, 11.5, 2));
    expect(shortestPath(plain, sources, [point(18, 2)])?.line).toEqual(Float64Array.of(18, 0, 18, 2));
  });

  test('a line that lies partly off the ground is met where it comes in', () => {
    const path = shortestPath(ground(rectangle(0, 0, 10, 10)), [piece(-5, 10, 5, 0)], [point(0, 8)]);
    expect(Array.from(path?.line ?? [])).toEqual([0, 5, 0, 8]);
  });
});

describe('ground that keeps two places apart', () => {
  test('there is no path between two lawns', () => {
    const lawns = [...ground(rectangle(0, 0, 4, 4)), ...ground(rectangle(5, 0, 9, 4))];
    expect(shortestPath(lawns, [point(1, 1)], [point(6, 1)])).toBeUndefined();
  });

  test('there is no path through a wall that may not be touched', () => {
    const wall = rectangle(4, 4, 6, 6);
    const plain = ground(rectangle(0, 0, 10, 10));
    expect(shortestPath(plain, [point(1, 5)], [point(5, 5)], [wall])).toBeUndefined();
    expect(shortestPath(plain, [point(1, 5)], [piece(4, 4, 4, 6)], [wall])?.lengthM).toBe(3);
  });

  test('a path may run along an edge of the ground and through its corners', () => {
    const l = ring([0, 0], [20, 0], [20, 8], [8, 8], [8, 18], [0, 18]);
    expect(shortestPath(ground(l), [point(8, 18)], [point(20, 8)])?.lengthM).toBe(22);
  });

  test('nothing to go from or to is no path', () => {
    expect(shortestPath([], [], [])).toBeUndefined();
    expect(shortestPath(ground(rectangle(0, 0, 1, 1)), [], [point(0.5, 0.5)])).toBeUndefined();
  });
});
