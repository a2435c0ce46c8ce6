import type { Sheet } from './sheet.ts';

/** The finished plan: everything that is on the other sheets. */
export const unprojectPlan: Sheet = {
  stage: '80-unproject-plan',
  did: ({ plan, say }) =>
    plan.features.length === 0 ? say('did.nothingPlanned') : say('did.finished', { n: plan.features.length }),
  kinds: [],
  draw: () => [],
  layers: () => [],
  key: [],
};
