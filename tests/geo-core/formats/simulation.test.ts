import { describe, expect, test } from 'vitest';
import { simulation } from '#geo-core/formats/simulation.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { drawSite, rectangle, siteOf } from '../../support/plane-site.ts';

useKernel();

describe('a simulated week as a file', () => {
  const draw = drawSite();
  const written = (): { simulation: Record<string, unknown> & { visits: Record<string, unknown> } } => {
    const site = siteOf([draw.area('lawn', [rectangle(0, 0, 20, 12)]), draw.area('keep-out', [rectangle(9, 5, 2, 2)])]);
    return JSON.parse(String(simulation.write(planSite(site, RULE_SETS[0]))));
  };

  test('tells cover, time and visits of the ground that the plan gives the machine', () => {
    const told = written().simulation;
    expect(told).toMatchObject({ seed: 1, zones: [{ zone: 'zone-1' }], passages: [] });
    const cover = told.cover as readonly { readonly share: number; readonly passes: number }[];
    expect(cover.at(-1)?.share).toBeGreaterThan(0.8);
    expect(cover.at(-1)?.share).toBeLessThanOrEqual(1);
    expect(cover.map(({ share }) => share)).toEqual(cover.map(({ share }) => share).toSorted((a, b) => a - b));
  });

  test('has a mean for every square, none where nothing is mown, between corners on the map', () => {
    const { columns, rows, meanVisits, corners } = written().simulation.visits;
    expect(meanVisits).toHaveLength(Number(columns) * Number(rows));
    expect((meanVisits as unknown[]).filter((mean) => mean === null).length).toBeGreaterThan(3);
    const [[west, south], , [east, north]] = corners as [number, number][];
    expect(east).toBeGreaterThan(west);
    expect(north).toBeGreaterThan(south);
  });

  test('of a site where nothing is planned says so', () => {
    const plan = planSite(siteOf([]), RULE_SETS[0]);
    expect(JSON.parse(String(simulation.write(plan)))).toEqual({ simulation: null });
  });
});
