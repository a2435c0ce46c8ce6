import { COLLECTIONS } from '#api/collections/collections.ts';
import { readItemsQuery } from '#api/items/read-items-query.ts';
import type { Inputs } from '#api/processes/process.ts';
import type { Store } from '#api/store/open-store.ts';
import type { GatheredSite, PortfolioOption } from '#api/store/portfolios.ts';
import { isObject } from '#geo-core/model/is-object.ts';

/** What the sites say themselves. */
const AS_GIVEN: PortfolioOption = { name: 'as given', rules: null };

/** The rule sets that every site is to be planned by. */
export function optionsOf(rules: Inputs[string] | undefined): PortfolioOption[] {
  if (rules === undefined || rules.length === 0) return [AS_GIVEN];
  return rules.map(({ value }, i) => ({ name: nameOf(value) ?? `rules ${i + 1}`, rules: value }));
}

function nameOf(rules: unknown): string | undefined {
  if (typeof rules === 'string') return rules;
  return isObject(rules) && typeof rules.name === 'string' ? rules.name : undefined;
}

/** The sites that were sent or named; without any the kept ones that the filter takes, without a filter all. */
export async function* sitesOfPortfolio(
  store: Store,
  tenant: string,
  { sites, filter }: Inputs,
): AsyncGenerator<GatheredSite, void, undefined> {
  if (sites !== undefined) {
    for (const { value } of sites) {
      yield typeof value === 'string' ? { siteId: value } : { body: new TextEncoder().encode(JSON.stringify(value)) };
    }
    return;
  }
  const { wanted, test } = keptQuery(tenant, filter?.[0]?.value);
  for await (const site of store.features.scan(wanted)) if (test === undefined || test(site)) yield { siteId: site.id };
}

/** CQL2 text over the collection of sites; throws `HttpProblem` for what is none. */
export function keptQuery(tenant: string, filter: unknown) {
  const collection = COLLECTIONS.find(({ id }) => id === 'sites');
  if (collection === undefined) throw new Error('there is no collection of sites');
  const query = new Map(typeof filter === 'string' ? [['filter', filter]] : []);
  return readItemsQuery({ query, tenant, siteId: undefined, collection, extent: undefined });
}
