import { describe, expect, it } from 'vitest';
import { closeStraits, type GroundStrait } from '#geo-core/arranging/close-straits.ts';
import type { Ring } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import { ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { withoutPieces } from '#geo-core/plane/narrow-places.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { subsets } from '../../support/subsets.ts';

useKernel();

const GRID_M = 1e-7;
const LAWN = box(0, 0, 40, 20);
const defaults = RULE_SETS[0];
const rulesOf = (handMowCostMPerM2: number): Rules => ({
  ...defaults,
  wireGapM: 0.3,
  driveWidthM: 0.8,
  handMowCostMPerM2,
});

function box(x: number, y: number, widthM: number, depthM: number): Ring {
  return Float64Array.of(x, y, x + widthM, y, x + widthM, y + depthM, x, y + depthM);
}

const hole = (x: number, y: number, widthM: number, depthM: number): Ring => reversedRing(box(x, y, widthM, depthM));
const countHoles = (rings: readonly Ring[]): number => rings.filter((ring) => ringAreaM2(ring) < 0).length;

describe('straits between loops', () => {
  it('are closed just under two over the worth of lawn, and not just over it (long parallel walls)', () => {
    const rules = rulesOf(4);
    const strait = (clearM: number) => [LAWN, hole(5, clearM, 30, 2)];
    const closed = closeStraits(strait(0.48), rules, GRID_M);
    expect(countHoles(closed.rings)).toBe(0);
    expect(closed.closed).toHaveLength(1);
    expect(closed.closed[0].clearM).toBeCloseTo(0.48, 9);
    expect(countHoles(closeStraits(strait(0.52), rules, GRID_M).rings)).toBe(1);
  });

  it('cost what they say: throats minus walls, and the lawn between them', () => {
    const rules = rulesOf(4);
    const before = [LAWN, hole(5, 0.4, 30, 2)];
    const { rings, closed } = closeStraits(before, rules, GRID_M);
    const lengthM = (all: readonly Ring[]) => all.reduce((sum, ring) => sum + ringLengthM(ring), 0);
    const areaM2 = (all: readonly Ring[]) => all.reduce((sum, ring) => sum + ringAreaM2(ring), 0);
    expect(lengthM(rings) - lengthM(before)).toBeCloseTo(closed[0].wireM, 1);
    expect(areaM2(before) - areaM2(rings)).toBeCloseTo(closed[0].areaM2, 2);
    expect(closed[0].costM).toBeCloseTo(closed[0].wireM + 4 * closed[0].areaM2, 9);
    expect(closed[0].wireM).toBeLessThan(-50);
  });

  it('are all left open at the default rules: there the gap is the paying width', () => {
    const rings = [LAWN, hole(5, 0.81, 30, 2), hole(5, 5, 3, 3), hole(8.81, 5, 3, 3)];
    expect(closeStraits(rings, defaults, GRID_M)).toEqual({ rings, closed: [], left: [] });
  });

  it('are left open where they are the way that the machine takes', () => {
    // One way past the keep-out is 0.9 m wide, the other 0.5 m: closing the first would part what the machine drives on.
    const corridor = [box(0, 0, 40, 4.4), hole(5, 0.9, 30, 3)];
    const rules = { ...rulesOf(2), wireGapM: 0.4 };
    const { closed } = closeStraits(corridor, rules, GRID_M);
    expect(closed.map(({ clearM }) => clearM)).toEqual([expect.closeTo(0.5, 6)]);
  });

  it('are closed in the cheapest way of all, measured on the ground itself (five keep-outs, every combination)', () => {
    const rules = rulesOf(2.2);
    const gardens: Ring[][] = [
      [LAWN, hole(5, 5, 3, 3), hole(8.6, 5, 3, 3), hole(12.35, 5, 3, 3), hole(16.25, 4, 3, 3), hole(25, 0.5, 6, 2)],
      [LAWN, hole(5, 0.55, 3, 2), hole(5, 3.35, 3, 3), hole(5, 7.05, 3, 3), hole(30, 17.3, 5, 2), hole(30, 13.5, 5, 3)],
      [LAWN, hole(0.7, 8, 4, 4), hole(5.45, 9, 2, 2), hole(8.2, 8.5, 3, 3), hole(11.8, 9, 1, 1), hole(13.45, 8, 2, 2)],
    ];
    for (const rings of gardens) {
      const { closed, left } = closeStraits(rings, rules, GRID_M);
      const all = [...closed, ...left];
      expect(all.length).toBeGreaterThan(2);
      const costs = subsets(all).map((some) => measuredCostM(rings, some, rules));
      const chosen = measuredCostM(rings, closed, rules);
      expect(chosen).toBeLessThan(measuredCostM(rings, [], rules));
      expect(chosen).toBeLessThan(Math.min(...costs) + 0.02);
    }
  });
});

/** Wire of all rings, twice the shortest leads that join them, and lost lawn at its worth; infinite where ground is shut in. */
function measuredCostM(rings: readonly Ring[], closed: readonly GroundStrait[], rules: Rules): number {
  const left = withoutPieces(
    rings,
    closed.map(({ piece }) => piece),
    GRID_M,
  );
  if (left.filter((ring) => ringAreaM2(ring) > 0).length > 1) return Number.POSITIVE_INFINITY;
  const wireM = left.reduce((sum, ring) => sum + ringLengthM(ring), 0);
  const lawnM2 =
    rings.reduce((sum, ring) => sum + ringAreaM2(ring), 0) - left.reduce((sum, ring) => sum + ringAreaM2(ring), 0);
  return wireM + 2 * shortestLeadsM(left) + lawnM2 * rules.handMowCostMPerM2;
}

/** The least spanning tree over the rings, by R. C. Prim's rule (Bell System Technical Journal 36, 1957). */
function shortestLeadsM(rings: readonly Ring[]): number {
  let sumM = 0;
  let [joined, apart] = [rings.slice(0, 1), rings.slice(1)];
  while (apart.length > 0) {
    const ways = apart.map((ring) => Math.min(...joined.map((other) => leastApartM(ring, other))));
    const next = ways.indexOf(Math.min(...ways));
    sumM += ways[next];
    joined = [...joined, apart[next]];
    apart = apart.filter((_, i) => i !== next);
  }
  return sumM;
}

function leastApartM(one: Ring, other: Ring): number {
  let leastM = Number.POSITIVE_INFINITY;
  for (let i = 0; i < one.length; i += 2)
    for (let k = 0; k < other.length; k += 2) {
      const [j, m] = [(i + 2) % one.length, (k + 2) % other.length];
      const [ax, ay, bx, by] = [one[i], one[i + 1], one[j], one[j + 1]];
      leastM = Math.min(leastM, segmentSegmentM(ax, ay, bx, by, other[k], other[k + 1], other[m], other[m + 1]));
    }
  return leastM;
}
