import { faultQuestionSchema } from './fault-schema.ts';
import { planSchema } from './plan-schema.ts';
import { problemSchema } from './problem-schema.ts';
import { rulesSpecSchema } from './rules-schema.ts';
import { siteSchema } from './site-schema.ts';
import { z } from './zod.ts';

/** JSON Schema (2020-12) of what goes in and comes out, by name. */
export const SCHEMAS = {
  site: z.toJSONSchema(siteSchema, { io: 'input' }),
  plan: z.toJSONSchema(planSchema, { io: 'output' }),
  rules: z.toJSONSchema(rulesSpecSchema, { io: 'input' }),
  'fault-question': z.toJSONSchema(faultQuestionSchema, { io: 'input' }),
  problem: z.toJSONSchema(problemSchema, { io: 'output' }),
};
