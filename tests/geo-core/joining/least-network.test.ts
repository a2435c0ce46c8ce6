import { describe, expect, test } from 'vitest';
import type { JoinedRoute } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { joinRoute } from '#geo-core/stages/50-join-route.ts';
import routing from '../../../fixtures/reference/routing.json' with { type: 'json' };
import { rectangle, ring } from '../../support/golden-garden.ts';
import { joinInput, polygonOf } from '../../support/joined-gardens.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

/** Loops a tenth of a millimetre across stand for points. */
const POINT_M = 1e-4;

function joinPoints(points: readonly (readonly number[])[]): JoinedRoute {
  const loops = points.map(([x, y]) => ring([x, y], [x + POINT_M, y], [x + POINT_M / 2, y + POINT_M]));
  const input = joinInput({ ground: [polygonOf(rectangle(-100, -100, 100, 100))], boundaries: loops });
  return joinRoute(input, RULE_SETS[0]).output;
}

const leadM = ({ leads }: JoinedRoute): number => leads.reduce((sum, { lengthM }) => sum + lengthM, 0);

describe('least trees over points, published or enumerated in full by two solvers', () => {
  test.each(routing.trees.rows)('$id: $smt instead of $mst', ({ points, smt }) => {
    const route = joinPoints(points);
    expect(Math.abs(leadM(route) - smt)).toBeLessThan(1e-3);
    expect(route.leadGapPct).toBe(0);
  });

  test('three legs meet at 120 degrees', () => {
    const { leads } = joinPoints([
      [0, 0],
      [4, 0],
      [0, 3],
    ]);
    const [main, branch] = leads;
    const [x, y] = branch.line;
    expect(branch.connects[0]).toBe(main.id);
    const ways = [main.line.slice(0, 2), main.line.slice(-2), branch.line.slice(-2)].map(([px, py]) => {
      const lengthM = distanceM(x, y, px, py);
      return [(px - x) / lengthM, (py - y) / lengthM];
    });
    for (const [k, [ux, uy]] of ways.entries()) {
      const [vx, vy] = ways[(k + 1) % 3];
      expect(ux * vx + uy * vy).toBeCloseTo(-0.5, 6);
    }
  });
});
