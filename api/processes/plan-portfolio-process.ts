import { z } from '#api/contract/zod.ts';
import { keptQuery } from '#api/portfolio/sites-of-portfolio.ts';
import { HttpProblem } from '#api/problems.ts';
import { RULES_INPUT, SITE_INPUT } from './plan-given.ts';
import { faultsBy, type Process } from './process.ts';

/** More are sent one after the other (`application/geo+json-seq`), or kept first. */
const SITES_MAX = 10_000;
const RULES_MAX = 12;
const FILTER_MAX = 10_000;
const filter = z.string().min(1).max(FILTER_MAX).describe('CQL2 text over the collection "sites"');
const counted = z.array(z.object({ code: z.string(), sites: z.int() }));
const figures = z.record(z.string(), z.number());

const summarySchema = z.object({
  plans: z.int().describe('plans asked for: one a site and rule set'),
  done: z.int().describe('plans made or refused so far'),
  options: z.array(
    z.object({
      rules: z.string().describe('name of the rule set'),
      planned: z.int(),
      refused: z.int(),
      fit: z.int().describe('planned without a finding that says stop'),
      machines: z
        .object({ fits: z.int(), 'fits-shared': z.int(), 'does-not-fit': z.int() })
        .describe('sites that one machine of this class keeps, that several do, and that none does'),
      againstMachine: counted.describe('findings that speak against one machine, the most frequent first'),
      totals: figures.describe('sums of the figures of all plans'),
      price: z.array(z.object({ currency: z.string(), total: z.number() })),
      spreads: z.record(z.string(), figures).describe('least, tenth, middle, nine tenths and most of each figure'),
      sampled: z.int().describe('plans that the spreads were taken from'),
      refusals: counted.describe('why sites were refused, the most frequent first'),
      stops: counted.describe('findings that say stop, the most frequent first'),
    }),
  ),
});

/** Many sites -> a row and a plan each, and what they add up to. */
export const PLAN_PORTFOLIO_PROCESS: Process = {
  id: 'plan-portfolio',
  version: '1.0.0',
  title: 'Plan a portfolio',
  description:
    'Plans many sites, each by one or several rule sets. What is done can be read while the rest is planned, at /jobs/{jobId}/sites and /jobs/{jobId}/summary. What is kept of the sites and their plans is not changed.',
  keywords: ['boundary wire', 'plan', 'portfolio'],
  isJobOnly: true,
  inputs: {
    sites: {
      ...SITE_INPUT,
      title: 'Sites',
      description:
        'sites as GeoJSON, or ids of kept ones; without them all that are kept, or those that the filter takes',
      minOccurs: 0,
      maxOccurs: SITES_MAX,
    },
    filter: {
      title: 'Filter',
      description: 'which of the kept sites (CQL2 text over the collection "sites")',
      schema: filter,
      faults: (value) => {
        const faults = faultsBy(filter)(value);
        return faults.length > 0 ? faults : filterFaults(value);
      },
      mediaTypes: ['text/plain', 'application/json'],
      minOccurs: 0,
      maxOccurs: 1,
    },
    rules: {
      ...RULES_INPUT,
      description: `${RULES_INPUT.description}; every site is planned by each`,
      maxOccurs: RULES_MAX,
    },
  },
  outputs: {
    summary: {
      title: 'Summary',
      description: 'totals, spreads, how many sites fit which rule set, and why others do not',
      schema: summarySchema,
      mediaType: 'application/json',
    },
  },
  run: () => Promise.reject(new Error('a portfolio is planned by its job')),
};

function filterFaults(value: unknown) {
  try {
    keptQuery('', value);
    return [];
  } catch (error) {
    if (error instanceof HttpProblem) return [{ pointer: '', message: error.parts.detail }];
    throw error;
  }
}
