import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { EdgedPolygon, EdgeRing } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { offsetBoundary } from '#geo-core/stages/30-offset-boundary.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

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

  it('agrees with every row of the published-formula table', () => {
    const table = JSON.parse(readFileSync(new URL('../../../fixtures/reference/offset.json', import.meta.url), 'utf8'));
    expect(Object.keys(table).length).toBeGreaterThan(0);
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
    expect(split.findings.map((finding) => finding.code)).toContain('offset-boundary.lawn-split');
    expect(totalAreaM2(split.output)).toBeCloseTo(161.928008, 5);
    const gone = inset(edged(dumbbell, 5.1), mitre);
    expect(gone.output).toHaveLength(0);
    expect(gone.findings.map((finding) => finding.code)).toContain('offset-boundary.lawn-vanished');
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
});
