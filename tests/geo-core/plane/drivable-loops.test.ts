import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { RULE_SETS, type Rules } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { drivableLoops } from '#geo-core/plane/drivable-loops.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { HOME, siteOf } from '../../properties/drawing.ts';
import { garden, messyGarden } from '../../properties/gardens.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const GRID_M = 1e-7;
const RUNS = 30;
const { bendToleranceM, chamferLegM, wireGapM } = RULE_SETS[0];

/** The working areas of a site as they are before they are made drivable. */
function areasOf(site: SiteInput, rules: Rules): readonly Polygon[] {
  const seen: Polygon[] = [];
  planSite(site, { ...rules, chamferLegM: 0, bendToleranceM: 0 }, (stage, output) => {
    if (stage === '35-loop-keep-outs') seen.push(...(output as { workingArea: readonly Polygon[] }).workingArea);
  });
  return seen;
}

const anyGarden = fc.oneof(garden, messyGarden).map((drawing) => areasOf(siteOf(drawing, HOME), RULE_SETS[0]));
const laidAnew = (areas: readonly Polygon[], legM: number, gapM = wireGapM): Polygon[] =>
  areas.map((area) => drivableLoops(area, { bendToleranceM, legM, gapM }).loops);

describe('drivable loops', () => {
  it('never leave the working area: what they hold lies in it, but for rounding', () => {
    fc.assert(
      fc.property(anyGarden, fc.constantFrom(0, chamferLegM), (areas, legM) => {
        const laid = laidAnew(areas, legM);
        const beyond = kernel().difference(ringsOf(laid), ringsOf(areas), GRID_M);
        // Rounding to the grid along the whole wire.
        expect(totalAreaM2(polygonsFromRings(beyond))).toBeLessThan(1e-4);
      }),
      { numRuns: RUNS },
    );
  });

  it('stay within the tolerance of the wire as drawn, and the drawn wire within it of them (Hausdorff)', () => {
    fc.assert(
      fc.property(anyGarden, (areas) => {
        const [drawn, laid] = [ringsOf(areas), ringsOf(laidAnew(areas, 0))];
        drawn.forEach((ring, r) => {
          expect(farthestM(laid[r], ring)).toBeLessThan(bendToleranceM + 1e-6);
          expect(farthestM(ring, laid[r])).toBeLessThan(bendToleranceM + 1e-6);
        });
      }),
      { numRuns: RUNS },
    );
  });

  it('never cross themselves or each other, whatever the gap', () => {
    fc.assert(
      fc.property(anyGarden, fc.constantFrom(0, chamferLegM), fc.constantFrom(0, wireGapM), (areas, legM, gapM) => {
        expect(crossings(ringsOf(laidAnew(areas, legM, gapM)))).toEqual([]);
      }),
      { numRuns: RUNS },
    );
  });

  it('never have more vertices than before', () => {
    fc.assert(
      fc.property(anyGarden, (areas) => {
        const [drawn, laid] = [ringsOf(areas), ringsOf(laidAnew(areas, 0))];
        drawn.forEach((ring, r) => {
          expect(laid[r].length).toBeLessThanOrEqual(ring.length);
        });
      }),
      { numRuns: RUNS },
    );
  });

  it('are the same wherever a ring begins', () => {
    fc.assert(
      fc.property(anyGarden, fc.nat(200), (areas, by) => {
        const turned = areas.map(({ outer, holes }) => ({
          outer: startingAt(outer, by),
          holes: holes.map((hole) => startingAt(hole, by)),
        }));
        expect(fromLowest(laidAnew(turned, chamferLegM))).toEqual(fromLowest(laidAnew(areas, chamferLegM)));
      }),
      { numRuns: RUNS },
    );
  });
});

/** The greatest distance from a vertex of one ring to another ring. */
function farthestM(from: Ring, to: Ring): number {
  let worstM = 0;
  for (let i = 0; i < from.length; i += 2) {
    let leastM = Number.POSITIVE_INFINITY;
    for (let k = 0; k < to.length; k += 2) {
      const next = (k + 2) % to.length;
      leastM = Math.min(leastM, pointSegmentM(from[i], from[i + 1], to[k], to[k + 1], to[next], to[next + 1]));
    }
    worstM = Math.max(worstM, leastM);
  }
  return worstM;
}

function crossings(rings: readonly Ring[]): number[][] {
  const edges = rings.flatMap((ring) =>
    Array.from({ length: ring.length / 2 }, (_, i) => {
      const next = (2 * i + 2) % ring.length;
      return [ring[2 * i], ring[2 * i + 1], ring[next], ring[next + 1]] as const;
    }),
  );
  return edges.flatMap((one, i) =>
    edges.slice(i + 1).flatMap((other) => (segmentsCross(...one, ...other) ? [[...one]] : [])),
  );
}

function startingAt(ring: Ring, vertex: number): Ring {
  const by = 2 * (vertex % (ring.length / 2));
  return Float64Array.from([...ring.subarray(by), ...ring.subarray(0, by)]);
}

/** Every ring from its lowest left vertex, so that equal rings are equal arrays. */
function fromLowest(areas: readonly Polygon[]): Ring[] {
  return ringsOf(areas).map((ring) => {
    let first = 0;
    for (let i = 2; i < ring.length; i += 2) {
      if (ring[i + 1] < ring[first + 1] || (ring[i + 1] === ring[first + 1] && ring[i] < ring[first])) first = i;
    }
    return startingAt(ring, first / 2);
  });
}
