import { planSchema } from '#api/contract/plan-schema.ts';
import { rulesSpecSchema } from '#api/contract/rules-schema.ts';
import { siteSchema } from '#api/contract/site-schema.ts';
import { z } from '#api/contract/zod.ts';
import { TryAgain } from '#api/house/runner.ts';
import type { PlanAnswer, PlanJob } from '#api/plan/plan-job.ts';
import { HttpProblem } from '#api/problems.ts';
import { presentSite, siteDocument, withBooks } from '#api/sites/site-document.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';
import {
  faultsBy,
  type Given,
  type Input,
  type Inputs,
  invalidInput,
  type Output,
  type ProcessWork,
} from './process.ts';

const JSON_TYPE = 'application/json';
const GEOJSON = 'application/geo+json';
const ONCE = { minOccurs: 1, maxOccurs: 1 };
const OPTIONAL = { minOccurs: 0, maxOccurs: 1 };
const SITE_ADDRESS = /^\/(?:sites|collections\/sites\/items)\/([^/?#]{1,200})$/;

const siteId = z.string().min(1).max(200).describe('id of a site that this service keeps');
const coverage = z.looseObject({ type: z.literal('Coverage') }).describe('a CoverageJSON Coverage with a Grid domain');

export const SITE_INPUT: Input = {
  title: 'Site',
  description:
    'the property as GeoJSON, or the id (or address here) of a site that is kept; no other address is fetched',
  schema: z.union([siteSchema, siteId]),
  // Its features are looked at where it is planned: beside everything else, not before.
  faults: (value) =>
    typeof value === 'string'
      ? faultsBy(siteId)(value)
      : faultsBy(z.looseObject({ type: z.literal('FeatureCollection'), features: z.array(z.unknown()) }))(value),
  mediaTypes: [GEOJSON, JSON_TYPE],
  ...ONCE,
  valueAt: (path) => {
    const id = SITE_ADDRESS.exec(path)?.[1];
    // Ids are letters, digits, hyphens and the like: whatever is encoded is none.
    return id?.includes('%') ? undefined : id;
  },
};

export const RULES_INPUT: Input = {
  title: 'Rules',
  description:
    'instead of what the site says: the name of a rule set, built in or kept by the firm, or one with overrides',
  schema: z.union([rulesSpecSchema, z.string().max(64)]),
  faults: rulesFaults,
  mediaTypes: [JSON_TYPE],
  ...OPTIONAL,
};

export const ELEVATION_INPUT: Input = {
  title: 'Elevation',
  description: 'ground heights, instead of what the site says: CoverageJSON with a Grid domain',
  schema: coverage,
  faults: faultsBy(coverage),
  mediaTypes: ['application/prs.coverage+json', JSON_TYPE],
  ...OPTIONAL,
};

export const PLAN_OUTPUT: Output = {
  title: 'Plan',
  description: 'the plan of the site: wire, leads, pegs, figures, findings, and the audit of it',
  schema: planSchema,
  mediaType: GEOJSON,
};

/** Names stand for sets that the firm may keep: they are looked up when the plan is made. */
export function rulesFaults(value: unknown) {
  if (typeof value === 'string') return faultsBy(z.string().min(1).max(64))(value);
  const resolved = resolveRules(value, []);
  return 'problems' in resolved ? resolved.problems : [];
}

/** Is told how far a plan is: 0 to 1, and in words. */
export type Tell = (share: number, words: string) => void;

/** The plan of the site in the inputs, by `rules` where they are given; a kept site is taken as it is now. */
export async function planGiven(
  inputs: Inputs,
  rules: Given | undefined,
  work: ProcessWork,
  tell: Tell,
): Promise<Plan> {
  return JSON.parse(await answerGiven(inputs, rules, work, tell, {}));
}

/** What a planner answers to the site in the inputs, as text. */
export async function answerGiven(
  inputs: Inputs,
  rules: Given | undefined,
  work: ProcessWork,
  tell: Tell,
  wanted: Pick<PlanJob, 'machines'>,
): Promise<string> {
  const site = inputs.site[0];
  const elevation = inputs.elevation?.[0];
  const { document, grid } = await withBooks(work.store, work.tenant, {
    ...(await documentOf(site, work)),
    ...(rules !== undefined && { rules: rules.value }),
    ...(elevation !== undefined && { elevation: elevation.value }),
  });
  const answer = await work.planner.plan(
    {
      site: new TextEncoder().encode(JSON.stringify(document)),
      ...(grid !== undefined && { elevation: { bytes: grid.bytes, fileName: grid.fileName } }),
      format: 'geojson',
      ...wanted,
      limits: work.limits,
    },
    work.signal,
    ({ done, of }) => tell(done / of, `stage ${done} of ${of}`),
  );
  return textOf(answer, { site, rules, elevation });
}

async function documentOf(site: Given, { store, tenant }: ProcessWork): Promise<Record<string, unknown>> {
  if (typeof site.value !== 'string') return isObject(site.value) ? { ...site.value } : {};
  const present = await presentSite(store, tenant, site.value);
  if (present !== undefined) return siteDocument(present.record, present.features);
  throw invalidInput([{ pointer: site.pointer, detail: `there is no site "${site.value.slice(0, 80)}"` }]);
}

type Sources = { readonly site: Given; readonly rules: Given | undefined; readonly elevation: Given | undefined };

function textOf(answer: PlanAnswer, sources: Sources): string {
  switch (answer.outcome) {
    case 'planned':
      return new TextDecoder().decode(answer.body);
    case 'refused': {
      if (answer.code === 'busy') throw new TryAgain(answer.detail);
      const { code, detail, problems, more } = answer;
      const errors = problems.map(({ pointer, message }) => placed(pointer, message, sources));
      throw new HttpProblem({ code, detail, errors, more });
    }
    case 'failed':
      throw new Error(answer.trace);
  }
}

/** A problem of the document that was planned -> its place in the request. */
function placed(pointer: string, detail: string, { site, rules, elevation }: Sources) {
  for (const [member, given] of [
    ['/rules', rules],
    ['/elevation', elevation],
  ] as const) {
    if (given !== undefined && (pointer === member || pointer.startsWith(`${member}/`))) {
      return {
        pointer: `${given.pointer}${typeof given.value === 'string' ? '' : pointer.slice(member.length)}`,
        detail,
      };
    }
  }
  // A site that is named has no places in the request.
  if (typeof site.value === 'string') return { pointer: site.pointer, detail: `${pointer}: ${detail}` };
  return { pointer: `${site.pointer}${pointer}`, detail };
}

/** Hands on how far it is while it works, one word at a time: what comes while one is still being written is passed over. */
export function teller(progress: ProcessWork['progress']) {
  let telling: Promise<void> | undefined;
  let fault: { readonly error: unknown } | undefined;
  return {
    tell(percent: number, message: string): void {
      telling ??= progress(Math.min(99, Math.floor(percent)), message)
        .catch((error: unknown) => {
          fault = { error };
        })
        .finally(() => {
          telling = undefined;
        });
    },
    /** Waits for the last word; throws what the telling threw. */
    async settled(): Promise<void> {
      await telling;
      if (fault !== undefined) throw fault.error;
    },
  };
}
