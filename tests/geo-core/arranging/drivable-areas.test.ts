import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drivableAreas } from '#geo-core/arranging/drivable-areas.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import { HOME, siteOf } from '../../properties/drawing.ts';
import { garden, messyGarden } from '../../properties/gardens.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

const GRID_M = 1e-7;
const [rules] = RULE_SETS;

/** The working areas of a garden before their bends and corners are laid. */
const areas = fc.oneof(garden, messyGarden).map((drawing): readonly Polygon[] => {
  const seen: Polygon[] = [];
  planSite(siteOf(drawing, HOME), { ...rules, chamferLegM: 0, bendToleranceM: 0 }, (stage, output) => {
    if (stage === '35-loop-keep-outs') seen.push(...(output as { workingArea: readonly Polygon[] }).workingArea);
  });
  return seen;
});

const polygon = (...xy: number[]): Polygon => ({ outer: Float64Array.from(xy), holes: [] });

describe('drivable areas', () => {
  it('have no turn sharper than 50 degrees to the left and a right angle to the right, as surveyed', () => {
    fc.assert(
      fc.property(areas, fc.constantFrom(...RULE_SETS), (arranged, each) => {
        for (const ring of ringsOf(drivableAreas(arranged, each, GRID_M).areas)) {
          const turns = turnsDegOf(ring);
          expect(Math.max(...turns)).toBeLessThan(51);
          expect(Math.min(...turns)).toBeGreaterThan(-92);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('hold nothing that was not arranged, but for rounding', () => {
    fc.assert(
      fc.property(areas, (arranged) => {
        const laid = drivableAreas(arranged, rules, GRID_M);
        const beyond = kernel().difference(ringsOf(laid.areas), ringsOf(arranged), GRID_M);
        expect(totalAreaM2(polygonsFromRings(beyond))).toBeLessThan(1e-4);
      }),
      { numRuns: 20 },
    );
  });

  it('cut a square corner with the given leg into two turns of 45 degrees', () => {
    const [{ outer }] = drivableAreas([polygon(0, 0, 9, 0, 9, 6, 0, 6)], rules, GRID_M).areas;
    expect(turnsDegOf(outer).map((turn) => Math.round(turn))).toEqual([45, 45, 45, 45, 45, 45, 45, 45]);
    const { chamferLegM: leg } = rules;
    expect(outer.length).toBe(16);
    expect(totalAreaM2([{ outer, holes: [] }])).toBeCloseTo(54 - 2 * leg * leg, 9);
  });

  it('leave out ground whose corners cannot be cut without bringing its wires too near to each other', () => {
    const least = { ...rules, wireGapM: 1.2, chamferLegM: 0.5 };
    const { areas: laid } = drivableAreas([polygon(0, 0, 1.7, 0, 0, 1.7)], least, GRID_M);
    for (const turn of laid.flatMap(({ outer }) => turnsDegOf(outer))) expect(turn).toBeLessThan(51);
    expect(totalAreaM2(laid)).toBeLessThan((1.7 * 1.7) / 2 - 0.1);
  });

  it('stay as they are where the rules ask for sharp corners and drawn bends', () => {
    const square = polygon(0, 0, 9, 0, 9, 6, 0, 6);
    const { areas: laid } = drivableAreas([square], { ...rules, chamferLegM: 0, bendToleranceM: 0 }, GRID_M);
    expect(laid).toEqual([square]);
  });
});

/** The turn at every vertex, degrees, left positive. */
function turnsDegOf(ring: Ring): number[] {
  const n = ring.length;
  return Array.from({ length: n / 2 }, (_, k) => {
    const [i, before, after] = [2 * k, (2 * k + n - 2) % n, (2 * k + 2) % n];
    const [ux, uy, vx, vy] = [
      ring[i] - ring[before],
      ring[i + 1] - ring[before + 1],
      ring[after] - ring[i],
      ring[after + 1] - ring[i + 1],
    ];
    return (Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy) * 180) / Math.PI;
  });
}
