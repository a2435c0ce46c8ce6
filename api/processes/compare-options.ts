import { rulesSpecSchema } from '#api/contract/rules-schema.ts';
import { z } from '#api/contract/zod.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import type { Plan, PlanSummary } from '#geo-core/model/plan.ts';
import { ELEVATION_INPUT, PLAN_OUTPUT, planGiven, rulesFaults, SITE_INPUT, teller } from './plan-given.ts';
import { faultsBy, type Given, type Inputs, invalidInput, type Process, type ProcessWork } from './process.ts';

const OPTIONS_MAX = 12;
const name = z.string().min(1).max(80).describe('what to call this option');

/** The figures that are set beside each other. */
const FIGURES = [
  { id: 'routeLengthM', title: 'wire', unit: 'm' },
  { id: 'leadLengthM', title: 'leads, walked twice', unit: 'm' },
  { id: 'lawnAreaM2', title: 'lawn', unit: 'm2' },
  { id: 'workingAreaM2', title: 'lawn where the machine may go', unit: 'm2' },
  { id: 'handMowAreaM2', title: 'hand-mow', unit: 'm2' },
  { id: 'pegCount', title: 'pegs', unit: '1' },
  { id: 'hoursPerWeek', title: 'mowing hours a week', unit: 'h' },
  { id: 'priceTotal', title: 'price', unit: 'currency' },
] as const satisfies readonly { readonly id: keyof PlanSummary; readonly title: string; readonly unit: string }[];

const figures = z.object(Object.fromEntries(FIGURES.map(({ id, title }) => [id, z.number().describe(title)])));
const table = z.object({
  figures: z.array(z.object({ id: z.string(), title: z.string(), unit: z.string() })),
  currency: z.string().describe('of the prices (ISO 4217)'),
  rows: z.array(
    z.object({
      name: z.string(),
      figures,
      differences: figures.describe('this option less the first one'),
      stops: z.int().describe('findings that stop the plan'),
      auditPassed: z.boolean(),
    }),
  ),
});

/** One site, several rule sets -> a plan for each, and their figures side by side. */
export const COMPARE_OPTIONS_PROCESS: Process = {
  id: 'compare-options',
  version: '1.0.0',
  title: 'Compare options for a site',
  description: 'Plans one site by several rule sets or overrides and sets the figures of the plans side by side.',
  keywords: ['boundary wire', 'plan', 'comparison'],
  inputs: {
    site: SITE_INPUT,
    options: {
      title: 'Options',
      description: 'the rule sets to plan by, each with a name of its own; differences are from the first',
      schema: z.object({ name, rules: z.union([rulesSpecSchema, z.string().max(64)]) }),
      faults: (value) => {
        const faults = faultsBy(z.strictObject({ name, rules: z.unknown() }))(value);
        const rules = isObject(value) ? value.rules : undefined;
        return [
          ...faults,
          ...rulesFaults(rules).map((fault) => ({ ...fault, pointer: `/rules${withoutRules(fault.pointer)}` })),
        ];
      },
      mediaTypes: ['application/json'],
      minOccurs: 2,
      maxOccurs: OPTIONS_MAX,
    },
    elevation: ELEVATION_INPUT,
  },
  outputs: {
    plans: {
      title: 'Plans',
      description: 'the plan of every option, by its name',
      schema: z.record(z.string(), PLAN_OUTPUT.schema),
      mediaType: 'application/json',
    },
    differences: {
      title: 'Differences',
      description: 'figures of every option and how they differ from the first',
      schema: table,
      mediaType: 'application/json',
    },
  },
  async run(inputs, work) {
    const planned = await planOptions(inputs, work);
    return {
      plans: Object.fromEntries(planned.map(({ option, plan }) => [option, plan])),
      differences: differencesOf(planned),
    };
  },
};

/** Problems of rules name the member of a site that holds them. */
function withoutRules(pointer: string): string {
  return pointer.replace(/^\/rules(?=\/|$)/, '');
}

type Planned = { readonly option: string; readonly plan: Plan };

async function planOptions(inputs: Inputs, work: ProcessWork): Promise<Planned[]> {
  const options = inputs.options.map(optionOf);
  const repeated = options.findIndex(({ option }, i) => options.findIndex((other) => other.option === option) < i);
  if (repeated >= 0) {
    const { pointer } = inputs.options[repeated];
    throw invalidInput([{ pointer: `${pointer}/name`, detail: 'another option has this name' }]);
  }
  const planned: Planned[] = [];
  const { tell, settled } = teller(work.progress);
  for (const [i, { option, rules }] of options.entries()) {
    const plan = await planGiven(inputs, rules, work, (share, words) =>
      tell((100 * (i + share)) / options.length, `option ${i + 1} of ${options.length}, ${words}`),
    );
    await settled();
    planned.push({ option, plan });
  }
  return planned;
}

function optionOf({ value, pointer }: Given): { readonly option: string; readonly rules: Given } {
  const { name: option, rules } = z.object({ name, rules: z.unknown() }).parse(value);
  return { option, rules: { value: rules, pointer: `${pointer}/rules` } };
}

function differencesOf(planned: readonly Planned[]): z.infer<typeof table> {
  const [{ plan: first }] = planned;
  const perFigure = (of: (id: (typeof FIGURES)[number]['id']) => number) =>
    Object.fromEntries(FIGURES.map(({ id }) => [id, of(id)]));
  return {
    figures: [...FIGURES],
    currency: first.summary.currency,
    rows: planned.map(({ option, plan: { summary, findings, audit } }) => ({
      name: option,
      figures: perFigure((id) => summary[id]),
      // Figures are rounded to the thousandth or coarser; so are their differences.
      differences: perFigure((id) => Math.round((summary[id] - first.summary[id]) * 1000) / 1000),
      stops: findings.filter(({ severity }) => severity === 'stop').length,
      auditPassed: audit.passed,
    })),
  };
}
