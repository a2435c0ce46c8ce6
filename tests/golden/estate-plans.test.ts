import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Plan } from '#geo-core/model/plan.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { indexOf } from '../support/estate-sites.ts';
import { readableJson, roundedFigures } from '../support/figures.ts';
import { useKernel } from '../support/load-kernel.ts';
import { planFixture } from '../support/plan-estate.ts';

/**
 * The estate's plans as they were last looked at: fixtures/plans/. `npm run bless` (BLESS=1) writes them anew; read the
 * diff. Each file holds the plan and then the given features, so that a GeoJSON viewer shows one over the other. Pegs are
 * left out (hundreds of points along the route); the summary counts them.
 */
const PLANS = new URL('../../fixtures/plans/', import.meta.url);
const BLESS = process.env.BLESS === '1';

useKernel();

describe('the plans of the estate', () => {
  it.each(indexOf('estate'))('$title is planned as it was when last looked at', async (entry) => {
    const { site, plan } = await planFixture('estate', entry);
    const text = overlay(site, plan);
    const file = new URL(entry.file, PLANS);
    if (BLESS) {
      mkdirSync(PLANS, { recursive: true });
      writeFileSync(file, text);
    }
    expect(existsSync(file), `no ${entry.file} in fixtures/plans: npm run bless`).toBe(true);
    expect(text).toBe(readFileSync(file, 'utf8'));
  });

  it.each(indexOf('estate'))('$title has a route that passes its audit', async (entry) => {
    const { plan } = await planFixture('estate', entry);
    expect(plan.findings.filter(({ severity }) => severity === 'stop')).toEqual([]);
    expect(plan.audit.checks.filter(({ passed }) => !passed)).toEqual([]);
    expect(plan.features.some(({ properties }) => properties.kind === 'route')).toBe(true);
  });
});

function overlay(site: SiteInput, plan: Plan): string {
  const laid = plan.features.filter(({ properties }) => properties.kind !== 'peg');
  const given = site.features.map((feature) => ({ ...feature, properties: { ...feature.properties, given: true } }));
  const { rules, ...rest } = plan;
  return readableJson(roundedFigures({ ...rest, rules: rules.name, features: [...laid, ...given] }));
}
