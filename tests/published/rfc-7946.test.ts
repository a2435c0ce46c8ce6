import { readdirSync, readFileSync } from 'node:fs';
import validation from 'geojson-validation';
import { describe, expect, it } from 'vitest';
import { planSite } from '#geo-core/index.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { useKernel } from '../support/load-kernel.ts';

useKernel();

/** A reader that we did not write, and the right-hand rule of RFC 7946 section 3.1.6, which it does not look at. */
describe('every plan of the estate is GeoJSON', () => {
  const estate = new URL('../../fixtures/sites/estate/', import.meta.url);
  const files = readdirSync(estate).filter((file) => file.endsWith('.geojson'));

  it.each(files)('%s', (file) => {
    const site = JSON.parse(readFileSync(new URL(file, estate), 'utf8'));
    const plan = JSON.parse(JSON.stringify(planSite(site, RULE_SETS[0])));
    expect(validation.valid(plan, true)).toEqual([]);
    for (const { geometry } of plan.features) {
      if (geometry.type !== 'Polygon') continue;
      geometry.coordinates.forEach((ring: [number, number][], i: number) => {
        const twice = ring.reduce((sum, [x, y], k) => {
          const [nx, ny] = ring[(k + 1) % ring.length];
          return sum + (x - ring[0][0]) * (ny - ring[0][1]) - (nx - ring[0][0]) * (y - ring[0][1]);
        }, 0);
        expect(twice > 0).toBe(i === 0);
      });
    }
  });
});
