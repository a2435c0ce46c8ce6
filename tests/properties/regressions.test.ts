import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { planSite } from '#geo-core/index.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { useKernel } from '../support/load-kernel.ts';

const FOLDER = new URL('../../fixtures/regressions/', import.meta.url);

useKernel();

describe.each(readdirSync(FOLDER).filter((name) => name.endsWith('.geojson')))('%s', (name) => {
  it.each(RULE_SETS.map((rules) => rules.name))('is planned and passes its audit by the rules %s', (rulesName) => {
    const rules = RULE_SETS.find((each) => each.name === rulesName) ?? RULE_SETS[0];
    const site = JSON.parse(readFileSync(new URL(name, FOLDER), 'utf8')) as SiteInput;
    const plan = planSite(site, rules);
    expect(plan.audit.checks.filter(({ passed }) => !passed)).toEqual([]);
    expect(plan.features.some(({ properties }) => properties.kind === 'route')).toBe(true);
  });
});
