import { findingSchema } from '#api/contract/plan-schema.ts';
import { z } from '#api/contract/zod.ts';
import { FIT_VERDICTS, type MachineFit, machineFit } from '#geo-core/index.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { ELEVATION_INPUT, planGiven, RULES_INPUT, SITE_INPUT, teller } from './plan-given.ts';
import type { Given, Process } from './process.ts';

const RULES_MAX = 12;
const fitSchema = z.object({
  rules: z.string().describe('name of the rule set'),
  verdict: z.enum(FIT_VERDICTS).describe('one machine keeps the lawn, several do, or none does'),
  machinesAtLeast: z.int().nullable().describe('fewest machines that could keep the lawn; null where no number does'),
  reasons: z.array(findingSchema).describe('what speaks against one machine: figure, limit and place'),
  hoursPerWeek: z.number(),
  windowH: z.number().nullable().describe('hours that the fullest week leaves'),
  mownPct: z.number().describe('share of the lawn that the machine mows by itself'),
  routeLengthM: z.number(),
  priceTotal: z.number(),
  currency: z.string(),
});

/** One site, several machine classes -> which of them fit, and why others do not. */
export const FIT_MACHINE_PROCESS: Process = {
  id: 'fit-machine',
  version: '1.0.0',
  title: 'Find the machine that fits',
  description:
    'Plans one site by several rule sets (without any: all that are built in) and says which machine classes fit it, with the reasons against the others. Advice: the manual of the machine and a look at the ground decide.',
  keywords: ['boundary wire', 'machine', 'comparison'],
  inputs: {
    site: SITE_INPUT,
    rules: {
      ...RULES_INPUT,
      description: `${RULES_INPUT.description}; each is a machine class to look at`,
      maxOccurs: RULES_MAX,
    },
    elevation: ELEVATION_INPUT,
  },
  outputs: {
    fits: {
      title: 'Fits',
      description: 'every machine class in the order given, with figures and reasons',
      schema: z.array(fitSchema),
      mediaType: 'application/json',
    },
  },
  async run(inputs, work) {
    const classes = inputs.rules ?? RULE_SETS.map(({ name }): Given => ({ value: name, pointer: '/inputs/rules' }));
    const { tell, settled } = teller(work.progress);
    const fits: MachineFit[] = [];
    for (const [i, rules] of classes.entries()) {
      const plan = await planGiven(inputs, rules, work, (share, words) =>
        tell((100 * (i + share)) / classes.length, `machine ${i + 1} of ${classes.length}, ${words}`),
      );
      await settled();
      fits.push(machineFit(plan));
    }
    return { fits };
  },
};
