import type { StageId } from '#geo-core/index.ts';
import { readSite } from './05-read-site.ts';
import { projectSite } from './10-project-site.ts';
import { deriveLawn } from './15-derive-lawn.ts';
import { surveySlope } from './20-survey-slope.ts';
import { classifyEdges } from './25-classify-edges.ts';
import { offsetBoundary } from './30-offset-boundary.ts';
import { loopKeepOuts } from './35-loop-keep-outs.ts';
import { splitZones } from './40-split-zones.ts';
import { siteStation } from './45-site-station.ts';
import { joinRoute } from './50-join-route.ts';
import { checkSlope } from './52-check-slope.ts';
import { checkSignal } from './55-check-signal.ts';
import { setOut } from './60-set-out.ts';
import { takeOff } from './65-take-off.ts';
import { planUpkeep } from './70-plan-upkeep.ts';
import { auditPlan } from './75-audit-plan.ts';
import { unprojectPlan } from './80-unproject-plan.ts';
import type { Sheet } from './sheet.ts';

/** One sheet a stage, in the order of the pipeline. A new stage is one file and one line. */
export const SHEETS: readonly Sheet[] = [
  readSite,
  projectSite,
  deriveLawn,
  surveySlope,
  classifyEdges,
  offsetBoundary,
  loopKeepOuts,
  splitZones,
  siteStation,
  joinRoute,
  checkSlope,
  checkSignal,
  setOut,
  takeOff,
  planUpkeep,
  auditPlan,
  unprojectPlan,
];

/** The stages in order; the stage view steps through them. */
export const STAGES: readonly StageId[] = SHEETS.map(({ stage }) => stage);
