import { type MadePlan, makePlan } from '#api/plan/make-plan.ts';
import type { PlanAnswer, PlanJob, RefusedAnswer } from '#api/plan/plan-job.ts';
import { type Handover, PAPER_POLICY } from '#geo-core/index.ts';
import type { PaperFormat } from './papers.ts';

/** Writes a made plan as a paper, after planning the options that are to stand beside it. */
export async function answerPaper(job: PlanJob, made: MadePlan, paper: PaperFormat): Promise<PlanAnswer> {
  const handover = await handoverOf(made, (rules) => makePlan({ ...withoutKept(job), rules }));
  if ('outcome' in handover) return handover;
  const body = await paper.write(handover);
  return {
    outcome: 'planned',
    body,
    mediaType: paper.mediaType,
    headers: {
      'content-disposition': `inline; filename="${paper.fileName}"`,
      ...(paper.mediaType.startsWith('text/html') && { 'content-security-policy': PAPER_POLICY }),
    },
  };
}

/** All that papers are made from; `planBy` plans the same site by other rules. */
export async function handoverOf(
  { plan, site, units }: MadePlan,
  planBy: (rules: unknown) => Promise<MadePlan | RefusedAnswer>,
): Promise<Handover | RefusedAnswer> {
  const details = site.papers ?? {};
  const options: { name: string; plan: Handover['plan'] }[] = [];
  for (const [i, { name, rules }] of (details.options ?? []).entries()) {
    const other = await planBy(rules);
    if (other.outcome === 'refused') return { ...other, problems: atOption(other.problems, i) };
    options.push({ name, plan: other.plan });
  }
  return { plan, site, units, details, options, today: new Date().toISOString().slice(0, 10) };
}

/** Problems of an option's rules are told where the site has them. */
function atOption(problems: RefusedAnswer['problems'], i: number): RefusedAnswer['problems'] {
  return problems.map(({ pointer, message }) => ({
    pointer: pointer.replace(/^\/rules(?=\/|$)/, `/papers/options/${i}/rules`),
    message,
  }));
}

function withoutKept({ keptPlan: _, ...job }: PlanJob): PlanJob {
  return job;
}
