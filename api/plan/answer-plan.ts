import { CRS84_URI, type NamedCrs, parseCrs } from '#api/contract/parse-crs.ts';
import { FILE_FORMATS } from '#api/formats/file-formats.ts';
import { answerPaper } from '#api/papers/answer-paper.ts';
import { PAPER_FORMATS } from '#api/papers/papers.ts';
import { machineFit, splitLawn, type Trace } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { makePlan } from './make-plan.ts';
import { planInCrs } from './plan-in-crs.ts';
import { type PlanAnswer, type PlanFigures, type PlanJob, refusal } from './plan-job.ts';
import { usSummary } from './us-summary.ts';

/** Makes the plan a job asks for and writes it in the format, kinds, units and coordinate system asked for. */
export async function answerPlan(job: PlanJob, trace?: Trace): Promise<PlanAnswer> {
  const made = await makePlan(job, trace);
  if (made.outcome === 'refused') return made;
  if (job.machines !== undefined) {
    const machines = job.machines === 'fewest' ? undefined : job.machines;
    const split = splitLawn(made.site, made.plan, machines);
    // Whoever sent the heights has them: areas come without.
    const areas = split.areas.map(({ site: { elevation: _, ...site }, ...area }) => ({ site, ...area }));
    const body = bytesOf(JSON.stringify({ ...split, areas }));
    return { outcome: 'planned', body, mediaType: 'application/json', headers: {} };
  }
  const paper = PAPER_FORMATS.find(({ id }) => id === job.format);
  if (paper !== undefined) return answerPaper(job, made, paper);
  const format = FILE_FORMATS.find(({ id }) => id === job.format);
  if (format === undefined) throw new Error(`no format "${job.format}"`);
  const { include } = job;
  const figures = job.wantsFigures === true ? { figures: figuresOf(made.plan) } : {};
  const kept = include === undefined ? made.plan : withKinds(made.plan, include);
  const system = job.planCrs === undefined ? undefined : parseCrs(job.planCrs);
  const beside = { elevation: made.site.elevation, crs: system?.crs, widthPx: job.widthPx };
  const isWhole = format.id === 'geojson';
  // Values over the ground come from the whole plan, whatever else is asked for.
  const given = isWhole ? documentOf(job, made.units, kept) : format.needs === undefined ? kept : made.plan;
  const written = await format.write(given, beside);
  if (written === undefined)
    return refusal('nothing-to-write', format.needs ?? 'The plan has nothing for this format.');
  return {
    outcome: 'planned',
    body: bytesOf(written),
    mediaType: format.mediaType,
    headers: isWhole ? { 'content-crs': `<${isLonLat(system) ? CRS84_URI : system.name}>` } : {},
    ...figures,
  };
}

/** The plan in the coordinate system and units asked for. */
function documentOf(job: PlanJob, units: 'metric' | 'us', plan: Plan): Plan {
  const system = job.planCrs === undefined ? undefined : parseCrs(job.planCrs);
  return {
    ...(isLonLat(system) ? plan : planInCrs(plan, system)),
    ...(!isLonLat(system) && {
      crs: { type: 'name', properties: { name: `urn:ogc:def:crs:EPSG::${system.crs.epsg}` } },
    }),
    ...(units === 'us' && { units: 'us', summaryUs: usSummary(plan.summary) }),
    ...job.also,
  };
}

function isLonLat(system: NamedCrs | undefined): system is undefined {
  return system === undefined || (system.crs.epsg === 4326 && system.axisOrder === 'east-north');
}

function figuresOf(plan: Plan): PlanFigures {
  const { id, rules, summary, takeoff, audit, findings, bbox } = plan;
  const stops = findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code);
  const { verdict, machinesAtLeast, reasons } = machineFit(plan);
  const { priceBook } = takeoff;
  return {
    rules: rules.name,
    summary,
    auditPassed: audit.passed,
    stops: [...new Set(stops)],
    cautions: findings.filter(({ severity }) => severity === 'caution').length,
    machine: { verdict, atLeast: machinesAtLeast, reasons: [...new Set(reasons.map(({ code }) => code))] },
    ownId: id,
    priceBook: priceBook.id === null ? null : `${priceBook.id}@${priceBook.version}`,
    at: bbox === undefined ? null : [(bbox[0] + bbox[2]) / 2, (bbox[1] + bbox[3]) / 2],
  };
}

function withKinds(plan: Plan, kinds: readonly string[]): Plan {
  return { ...plan, features: plan.features.filter(({ properties }) => kinds.includes(properties.kind)) };
}

function bytesOf(written: string | Uint8Array): Uint8Array {
  return typeof written === 'string' ? new TextEncoder().encode(written) : written;
}
