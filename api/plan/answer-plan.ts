import { CRS84_URI, parseCrs } from '#api/contract/parse-crs.ts';
import { answerPaper } from '#api/papers/answer-paper.ts';
import { PAPER_FORMATS } from '#api/papers/papers.ts';
import { FORMATS, type Trace } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { makePlan } from './make-plan.ts';
import { planInCrs } from './plan-in-crs.ts';
import type { PlanAnswer, PlanFigures, PlanJob } from './plan-job.ts';
import { usSummary } from './us-summary.ts';

/** Makes the plan a job asks for and writes it in the format, kinds, units and coordinate system asked for. */
export async function answerPlan(job: PlanJob, trace?: Trace): Promise<PlanAnswer> {
  const made = await makePlan(job, trace);
  if (made.outcome === 'refused') return made;
  const paper = PAPER_FORMATS.find(({ id }) => id === job.format);
  if (paper !== undefined) return answerPaper(job, made, paper);
  const format = FORMATS.find(({ id }) => id === job.format);
  if (format === undefined) throw new Error(`no format "${job.format}"`);
  const { include } = job;
  const figures = job.wantsFigures === true ? { figures: figuresOf(made.plan) } : {};
  const kept = include === undefined ? made.plan : withKinds(made.plan, include);
  if (format.id !== 'geojson') {
    return {
      outcome: 'planned',
      body: bytesOf(format.write(kept)),
      mediaType: format.mediaType,
      headers: {},
      ...figures,
    };
  }
  const system = job.planCrs === undefined ? undefined : parseCrs(job.planCrs);
  const isLonLat = system === undefined || (system.crs.epsg === 4326 && system.axisOrder === 'east-north');
  const placed = isLonLat ? kept : planInCrs(kept, system);
  const document = {
    ...placed,
    ...(!isLonLat && { crs: { type: 'name', properties: { name: `urn:ogc:def:crs:EPSG::${system.crs.epsg}` } } }),
    ...(made.units === 'us' && { units: 'us', summaryUs: usSummary(placed.summary) }),
    ...job.also,
  };
  return {
    outcome: 'planned',
    body: bytesOf(format.write(document)),
    mediaType: format.mediaType,
    headers: { 'content-crs': `<${isLonLat ? CRS84_URI : system.name}>` },
    ...figures,
  };
}

function figuresOf({ rules, summary, audit, findings, bbox }: Plan): PlanFigures {
  const stops = findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code);
  const cautions = findings.filter(({ severity }) => severity === 'caution').length;
  const at = bbox === undefined ? null : ([(bbox[0] + bbox[2]) / 2, (bbox[1] + bbox[3]) / 2] as const);
  return { rules: rules.name, summary, auditPassed: audit.passed, stops: [...new Set(stops)], cautions, at };
}

function withKinds(plan: Plan, kinds: readonly string[]): Plan {
  return { ...plan, features: plan.features.filter(({ properties }) => kinds.includes(properties.kind)) };
}

function bytesOf(written: string | Uint8Array): Uint8Array {
  return typeof written === 'string' ? new TextEncoder().encode(written) : written;
}
