import { planSchema } from '#api/contract/plan-schema.ts';
import { z } from '#api/contract/zod.ts';
import { MACHINES_MAX } from '#geo-core/index.ts';
import { answerGiven, ELEVATION_INPUT, RULES_INPUT, SITE_INPUT, teller } from './plan-given.ts';
import { faultsBy, type Process } from './process.ts';

const machines = z.int().min(1).max(MACHINES_MAX).describe('how many machines share the lawn');
const splitSchema = z.object({
  rules: z.string().describe('name of the rule set'),
  areas: z
    .array(
      z.object({
        id: z.string(),
        site: z.looseObject({ type: z.literal('FeatureCollection') }).describe('the site of this working area alone'),
        plan: planSchema,
        hoursPerWeek: z.number(),
        offMeanPct: z.number().describe('hours less the mean of the areas of its ground, in percent of that'),
        cableM: z.number().nullable().describe('from the nearest outlet; null where none is given'),
        isSupplied: z.boolean().nullable().describe('whether the outlet is in reach; null where none is given'),
        channel: z.int().describe('areas that disturb each other have different ones, counted from 0'),
      }),
    )
    .describe('one for each machine; empty where the lawn cannot be parted'),
  cuts: z.array(z.object({ geometry: z.looseObject({ type: z.string() }), lengthM: z.number() })),
  tolerancePct: z.number(),
  spreadPct: z.number().describe('largest difference of the hours of an area from the mean'),
  isFair: z.boolean().describe('hours are equal within the tolerance'),
  isEnough: z.boolean().describe('no area is too much for its machine'),
});

/** One site too large for one machine -> working areas of equal hours, each with its plan. */
export const SPLIT_LAWN_PROCESS: Process = {
  id: 'split-lawn',
  version: '1.0.0',
  title: 'Split a lawn between machines',
  description:
    'Splits the lawn of one site into working areas of equal mowing hours by the shortest cuts, each in one piece with a station and a signal of its own, and plans each of them.',
  keywords: ['boundary wire', 'working area', 'machine'],
  inputs: {
    site: SITE_INPUT,
    rules: RULES_INPUT,
    machines: {
      title: 'Machines',
      description: 'how many there are; without it the fewest that keep their hours and the reach of their signal',
      schema: machines,
      faults: faultsBy(machines),
      mediaTypes: ['application/json'],
      minOccurs: 0,
      maxOccurs: 1,
    },
    elevation: ELEVATION_INPUT,
  },
  outputs: {
    split: {
      title: 'Split',
      description: 'working areas with their plans, and where the lawn is cut',
      schema: splitSchema,
      mediaType: 'application/json',
    },
  },
  async run(inputs, work) {
    const { tell, settled } = teller(work.progress);
    const wanted = { machines: machines.optional().parse(inputs.machines?.[0]?.value) ?? 'fewest' } as const;
    const say = (share: number, words: string): void => tell(50 * share, words);
    const split: unknown = JSON.parse(await answerGiven(inputs, inputs.rules?.[0], work, say, wanted));
    await settled();
    return { split };
  },
};
