/** The only door to the planner, for Node and the browser. */
export { loadKernel } from './plane/kernel.ts';
export { planSite, STAGE_IDS, type StageId, type Trace } from './plan-site.ts';
