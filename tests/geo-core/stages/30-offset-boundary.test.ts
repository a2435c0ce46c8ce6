import { describe, expect, it } from 'vitest';
import type { EdgedPolygon, EdgeRing } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { offsetBoundary } from '#geo-core/stages/30-offset-boundary.ts';
import reference from '../../../fixtures/reference/offset.json' with { type: 'json' };
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

type Row = { shape: string; distance: number; join: string; parts: number; area: number; length: number };
const table: { offsets: { rows: Row[]; shapes_wkt: Record<string, string> } } = reference;

/** 'POLYGON ((x y, ...), (...))' -> rings without the closing position, outer counter-clockwise, holes clockwise. */
function ringsOfWkt(wkt: string): [number, number][][] {
  return [...wkt.matchAll(/\(([^()]+)\)/g)].map(([, ring], i) => {
    const xy = ring
      .split(', ')
      .slice(0, -1)
      .map((pair): [number, number] => {
        const [x, y] = pair.split(' ').map(Number);
        return [x, y];
      });
    const twice = xy.reduce(
      (sum, [x, y], k) => sum + x * xy[(k + 1) % xy.length][1] - xy[(k + 1) % xy.length][0] * y,
      0,
    );
    return twice > 0 === (i === 0) ? xy : xy.reverse();
  });
}

/** Sum of the turns to the right, radians. */
function reflexTurn(rings: readonly (readonly [number, number])[][]): number {
  return rings
    .flatMap((xy) =>
      xy.map((b, i) => {
        const [a, c] = [xy[(i + xy.length - 1) % xy.length], xy[(i + 1) % xy.length]];
        const [ex, ey, fx, fy] = [b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]];
        return Math.max(0, -Math.atan2(ex * fy - ey * fx, ex * fx + ey * fy));
      }),
    )
    .reduce((sum, turn) => sum + turn, 0);
}

const mitre: Rules = { ...RULE_SETS[0], reflexJoin: 'mitre', chamferLegM: 0 };
const round: Rules = { ...mitre, reflexJoin: 'round' };

function edged(xy: readonly (readonly [number, number])[], offsets: number | readonly number[]): EdgeRing {
  return {
    ring: Float64Array.from(xy.flat()),
    beyond: xy.map(() => 'unknown' as const),
    from: xy.map(() => 'unknown'),
    offsetsM: Float64Array.from(xy, (_, i) => (typeof offsets === 'number' ? offsets : offsets[i])),
  };
}

function inset(outer: EdgeRing, rules: Rules, holes: EdgeRing[] = []) {
  const polygon: EdgedPolygon = { outer, holes };
  return offsetBoundary({ edges: [polygon], gridM: 1e-6 }, rules);
}

/** Least value over the wire of (distance to edge i - offset i): 0 where exact, negative where too near. */
function worstMarginM(rings: readonly EdgeRing[], wire: readonly Float64Array[]): number {
  let worst = Number.POSITIVE_INFINITY;
  for (const line of wire) {
    for (let v = 0; v < line.length; v += 2) {
      const next = (v + 2) % line.length;
      for (const [x, y] of [
        [line[v], line[v + 1]],
        [(line[v] + line[next]) / 2, (line[v + 1] + line[next + 1]) / 2],
      ]) {
        for (const { ring, offsetsM } of rings) {
          for (let i = 0; i < ring.length; i += 2) {
            const j = (i + 2) % ring.length;
            worst = Math.min(worst, pointSegmentM(x, y, ring[i], ring[i + 1], ring[j], ring[j + 1]) - offsetsM[i / 2]);
          }
        }
      }
    }
  }
  return worst;
}

describe('offset boundary: closed forms for any simple polygon (A - P d + d² sum tan(t/2); do Carmo, parallel curves)', () => {
  type Row = { id: string; outer: [number, number][]; holes?: [number, number][][] };
  const lShape: Row = {
    id: 'L',
    outer: [
      [0, 0],
      [20, 0],
      [20, 8],
      [8, 8],
      [8, 18],
      [0, 18],
    ],
  };
  const rectangle: Row = {
    id: 'rectangle',
    outer: [
      [0, 0],
      [20, 0],
      [20, 12],
      [0, 12],
    ],
  };

  it('takes a rectangle of 20 x 12 m to 221.16 m² and 61.6 m at 0.3 m', () => {
    const { output } = inset(edged(rectangle.outer, 0.3), mitre);
    expect(totalAreaM2(output)).toBeCloseTo(221.16, 8);
    expect(polygonPerimeterM(output[0])).toBeCloseTo(61.6, 8);
  });

  it('takes the L to A - P d + 4 d² and P - 8 d with mitre joins', () => {
    for (const d of [0.1, 0.3, 1]) {
      const { output } = inset(edged(lShape.outer, d), mitre);
      expect(totalAreaM2(output)).toBeCloseTo(240 - 76 * d + 4 * d * d, 8);
      expect(polygonPerimeterM(output[0])).toBeCloseTo(76 - 8 * d, 8);
    }
  });

  it('adds d²(1 - pi/4) of area at a reflex corner with round joins, on the safe side of the true arc', () => {
    const d = 1;
    const { output } = inset(edged(lShape.outer, d), round);
    const exact = 240 - 76 * d + 4 * d * d + d * d * (1 - Math.PI / 4);
    expect(totalAreaM2(output)).toBeLessThanOrEqual(exact + 1e-9);
    expect(totalAreaM2(output)).toBeGreaterThan(exact - 0.001 * (Math.PI / 2) * d);
    expect(worstMarginM([edged(lShape.outer, d)], [output[0].outer])).toBeGreaterThan(-1e-5);
  });

  it('agrees with every inward row of the reference table (GEOS 3.11 and the closed form)', () => {
    // At 0.5 m the dumbbell's corridor of 1.0 m closes: what is left of it is a matter of rounding, so that row says nothing.
    const rows = table.offsets.rows.filter(
      ({ shape, distance }) => distance < 0 && !(shape === 'dumbbell' && distance === -0.5),
    );
    expect(rows.length).toBeGreaterThan(40);
    for (const row of rows) {
      const [outer, ...holes] = ringsOfWkt(table.offsets.shapes_wkt[row.shape]);
      const d = -row.distance;
      const rules = row.join === 'mitre' ? mitre : round;
      const { output } = inset(
        edged(outer, d),
        rules,
        holes.map((hole) => edged(hole, d)),
      );
      const lengthM = output.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0);
      // Tangents that overshoot an arc of turn t by e are longer than it by 2 e t / 3, and take d times that in area.
      const arcM = (2 / 3) * 0.001 * reflexTurn([outer, ...holes]);
      const allowedM = row.join === 'mitre' ? 1e-4 : 2e-4 + arcM;
      expect(output, `${row.shape} ${row.distance} ${row.join}`).toHaveLength(row.parts);
      expect(Math.abs(totalAreaM2(output) - row.area), `${row.shape} ${d} ${row.join} area`).toBeLessThan(
        allowedM * Math.max(1, d),
      );
      expect(Math.abs(lengthM - row.length), `${row.shape} ${d} ${row.join} length`).toBeLessThan(allowedM);
    }
  });

  it('splits a dumbbell with a corridor of exactly 1.0 m just above 0.5 m', () => {
    const dumbbell: [number, number][] = [
      [0, 0],
      [10, 0],
      [10, 4.5],
      [20, 4.5],
      [20, 0],
      [30, 0],
      [30, 10],
      [20, 10],
      [20, 5.5],
      [10, 5.5],
      [10, 10],
      [0, 10],
    ];
    expect(inset(edged(dumbbell, 0.499), mitre).output).toHaveLength(1);
    const split = inset(edged(dumbbell, 0.501), mitre);
    expect(split.output).toHaveLength(2);
    expect(split.findings).toMatchObject([
      {
        code: 'offset-boundary.lawn-split',
        value: expect.closeTo(1, 6),
        limit: expect.closeTo(1.002, 6),
        at: { y: expect.closeTo(5, 6) },
      },
    ]);
    expect(totalAreaM2(split.output)).toBeCloseTo(161.928008, 5);
    const gone = inset(edged(dumbbell, 5.1), mitre);
    expect(gone.output).toHaveLength(0);
    expect(gone.findings).toMatchObject([
      { code: 'offset-boundary.lawn-vanished', value: expect.closeTo(10, 6), limit: expect.closeTo(10.2, 6) },
    ]);
  });

  it('keeps every edge its own distance, also round the end of an edge with a larger one', () => {
    const own = [0.1, 1, 0.2, 0.35, 1, 0.1];
    for (const outer of [
      lShape.outer,
      lShape.outer.map(([x, y]): [number, number] => [x * 0.6 - y * 0.8, x * 0.8 + y * 0.6]),
    ]) {
      const ring = edged(outer, own);
      const { output } = inset(ring, round);
      expect(output).toHaveLength(1);
      const margin = worstMarginM([ring], [output[0].outer]);
      expect(margin).toBeGreaterThan(-1e-5);
      expect(margin).toBeLessThan(1e-3);
    }
  });

  it('keeps the distance of an edge whose neighbour goes straight on with a smaller one', () => {
    const ring = edged(
      [
        [0, 0],
        [10, 0],
        [20, 0],
        [20, 12],
        [0, 12],
      ],
      [1, 0.1, 0.2, 0.2, 0.2],
    );
    const { output } = inset(ring, round);
    expect(worstMarginM([ring], [output[0].outer])).toBeGreaterThan(-1e-5);
    expect(totalAreaM2(output)).toBeLessThan(19.6 * 11.7 - 9.8 * 0.8 + 0.1);
  });

  it('does not run out and back along an edge without a distance', () => {
    const corners: [number, number][] = [
      [0, 0],
      [10, 1],
      [9.4, 7],
      [-0.6, 6],
    ];
    for (const open of [0, 1, 2, 3]) {
      const offsetsM = corners.map((_, i) => (i === open ? 0 : 0.2));
      const [{ outer }] = inset(edged(corners, offsetsM), round).output;
      expect(outer).toHaveLength(8);
    }
  });

  it('does not push the wire away through ground that is not lawn', () => {
    // A verge of 0.5 m between a road (1 m asked for) and a slot of 0.2 m with a hedge; the lawn behind owes the road nothing.
    const ring = edged(
      [
        [0, 0],
        [20, 0],
        [20, 12],
        [0, 12],
        [0, 0.7],
        [19, 0.7],
        [19, 0.5],
        [0, 0.5],
      ],
      [1, 0.2, 0.2, 0.2, 0.35, 0.35, 0.35, 0.2],
    );
    const { output } = inset(ring, round);
    expect(output).toHaveLength(1);
    const lowestM = output[0].outer.filter((_, i) => i % 2 === 1).reduce((least, y) => Math.min(least, y));
    expect(lowestM).toBeCloseTo(1, 3);
    const left = [...output[0].outer].filter((_, i, all) => i % 2 === 1 && all[i - 1] < 10);
    expect(Math.min(...left)).toBeCloseTo(0.7 + 0.35, 5);
  });

  it('changes line along a straight edge by a taper of 45 degrees, tangent to the end cap of the larger distance', () => {
    const ring = edged(
      [
        [0, 0],
        [20, 0],
        [40, 0],
        [40, 12],
        [0, 12],
      ],
      [1, 0.1, 0.2, 0.2, 0.2],
    );
    const { output } = inset(ring, round);
    const corners = Array.from({ length: output[0].outer.length / 2 }, (_, i) => [
      ...output[0].outer.subarray(2 * i, 2 * i + 2),
    ]);
    const expected = [
      [20 + Math.SQRT2 - 0.1, 0.1],
      [39.8, 0.1],
      [39.8, 11.8],
      [0.2, 11.8],
      [0.2, 1],
      [20 + Math.SQRT2 - 1, 1],
    ];
    expect(corners).toEqual(expected.map(([x, y]) => [expect.closeTo(x, 5), expect.closeTo(y, 5)]));
    expect(worstMarginM([ring], [output[0].outer])).toBeGreaterThan(-1e-5);
  });
});
