import { ELEVATION_INPUT, PLAN_OUTPUT, planGiven, RULES_INPUT, SITE_INPUT, teller } from './plan-given.ts';
import type { Process } from './process.ts';

/** One site -> its plan; nothing of it is kept but the job's result. */
export const PLAN_SITE_PROCESS: Process = {
  id: 'plan-site',
  version: '1.0.0',
  title: 'Plan a site',
  description: 'Plans the boundary wire of one site. What is kept of the site and its plan is not changed.',
  keywords: ['boundary wire', 'plan'],
  inputs: { site: SITE_INPUT, rules: RULES_INPUT, elevation: ELEVATION_INPUT },
  outputs: { plan: PLAN_OUTPUT },
  async run(inputs, work) {
    const { tell, settled } = teller(work.progress);
    const plan = await planGiven(inputs, inputs.rules?.[0], work, (share, words) => tell(100 * share, words));
    await settled();
    return { plan };
  },
};
