import type { Finding, Staged } from './model/finding.ts';
import type { Plan } from './model/plan.ts';
import type { Rules } from './model/rules.ts';
import type { SiteInput } from './model/site.ts';
import { readSite } from './stages/05-read-site.ts';
import { projectSite } from './stages/10-project-site.ts';
import { deriveLawn } from './stages/15-derive-lawn.ts';
import { surveySlope } from './stages/20-survey-slope.ts';
import { classifyEdges } from './stages/25-classify-edges.ts';
import { offsetBoundary } from './stages/30-offset-boundary.ts';
import { loopKeepOuts } from './stages/35-loop-keep-outs.ts';
import { splitZones } from './stages/40-split-zones.ts';
import { siteStation } from './stages/45-site-station.ts';
import { joinRoute } from './stages/50-join-route.ts';
import { checkSlope } from './stages/52-check-slope.ts';
import { checkSignal } from './stages/55-check-signal.ts';
import { setOut } from './stages/60-set-out.ts';
import { takeOff as takeOffQuantities } from './stages/65-take-off.ts';
import { planUpkeep } from './stages/70-plan-upkeep.ts';
import { auditPlan } from './stages/75-audit-plan.ts';
import { unprojectPlan } from './stages/80-unproject-plan.ts';

/** The ids of the stages, in order: each is the name of its source, test, golden file, map layer and trace. */
export const STAGE_IDS = [
  '05-read-site',
  '10-project-site',
  '15-derive-lawn',
  '20-survey-slope',
  '25-classify-edges',
  '30-offset-boundary',
  '35-loop-keep-outs',
  '40-split-zones',
  '45-site-station',
  '50-join-route',
  '52-check-slope',
  '55-check-signal',
  '60-set-out',
  '65-take-off',
  '70-plan-upkeep',
  '75-audit-plan',
  '80-unproject-plan',
] as const;
export type StageId = (typeof STAGE_IDS)[number];

/** Is handed every stage's output as it is made: golden files, `--trace` and the stage view read this one stream. */
export type Trace = (stageId: StageId, output: unknown) => void;

/** The lawn of a site in its plane, with the slopes where they are known: what the first stages make, for parting a lawn. */
export function surveySite(input: SiteInput, rules: Rules) {
  const site = projectSite(readSite(input, rules).output).output;
  const lawn = deriveLawn({ site }, rules).output;
  return { site, lawn, slope: surveySlope({ site, lawn }, rules).output };
}

/**
 * A site and its rules -> the whole plan. The table of contents of the planner: stages in order, no arithmetic.
 * The kernel must be loaded (`loadKernel`). Throws `SiteError` where positions are no places on earth; everything else that
 * is wrong with a site is answered by findings, with whatever could still be computed.
 */
export function planSite(input: SiteInput, rules: Rules, trace: Trace = () => {}): Plan {
  const findings: Finding[] = [];
  const stage = <Output>(id: StageId, staged: Staged<Output>): Output => {
    findings.push(...staged.findings);
    trace(id, staged.output);
    return staged.output;
  };
  const read = stage('05-read-site', readSite(input, rules));
  const site = stage('10-project-site', projectSite(read));
  const { gridM } = site;
  const lawn = stage('15-derive-lawn', deriveLawn({ site }, rules));
  const slope = stage('20-survey-slope', surveySlope({ site, lawn }, rules));
  const edges = stage('25-classify-edges', classifyEdges({ site, lawn, slope }, rules));
  const inset = stage('30-offset-boundary', offsetBoundary({ edges, gridM }, rules));
  const loops = stage('35-loop-keep-outs', loopKeepOuts({ lawn, edges, inset, slope, gridM }, rules));
  const zones = stage('40-split-zones', splitZones({ site, lawn, loops }, rules));
  const sited = stage('45-site-station', siteStation({ site, lawn, edges, slope, loops, zones }, rules));
  const route = stage('50-join-route', joinRoute({ site, lawn, loops, stations: sited }, rules));
  const stations = { ...sited, stations: route.stations };
  const slopeCheck = stage('52-check-slope', checkSlope({ slope, loops, zones, route }, rules));
  const signal = stage('55-check-signal', checkSignal({ site, loops, zones, route, stations }, rules));
  const settingOut = stage('60-set-out', setOut({ site, lawn, zones, route, slopeCheck }, rules));
  const takeOff = stage('65-take-off', takeOffQuantities({ site, route, stations, settingOut }, rules));
  const upkeep = stage('70-plan-upkeep', planUpkeep({ site, lawn, edges, loops, zones, slope }, rules));
  const audit = stage(
    '75-audit-plan',
    auditPlan({ site, lawn, slope, edges, loops, zones, stations, route, settingOut, takeOff }, rules),
  );
  const everything = {
    site,
    lawn,
    slope,
    loops,
    zones,
    stations,
    route,
    slopeCheck,
    signal,
    settingOut,
    takeOff,
    upkeep,
    audit,
  };
  return stage('80-unproject-plan', unprojectPlan({ ...everything, findings }, rules));
}
