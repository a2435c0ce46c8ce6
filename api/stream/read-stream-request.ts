import { negotiate } from '#api/negotiate.ts';
import type { PlanJob } from '#api/plan/plan-job.ts';
import { mediaTypeOf, readPlanOptions, readQuery, STREAM_TYPES, wrongParameter } from '#api/plan/read-plan-request.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import { SEQUENCES, type Sequence } from './answer-line.ts';

/** How the sites of a body are told apart. */
export type SitesForm = 'records' | 'collection';

export type StreamRequest = {
  readonly form: SitesForm;
  readonly answers: Sequence;
  /** What every plan is made by. */
  readonly job: Omit<PlanJob, 'site'>;
};

const BODIES = ['site', 'sites'] as const;
const COLLECTION_TYPES = ['application/geo+json', 'application/json'];

/** A `POST /plan` request that brings many sites -> what is asked for; undefined for one that brings a single site. */
export function readStreamRequest(request: Request, limits: Limits): StreamRequest | undefined {
  const form = formOf(request);
  if (form === undefined) return undefined;
  const query = readQuery(request);
  const options = readPlanOptions(request, query);
  const answers = readSequence(query.get('f'), request.headers.get('accept') ?? undefined);
  return { form, answers, job: { ...options, format: 'geojson', limits, takesFeature: true } };
}

/** A sequence says what it is by its media type; a collection of sites looks like one site and says it by `body=sites`. */
function formOf(request: Request): SitesForm | undefined {
  const mediaType = mediaTypeOf(request);
  if (STREAM_TYPES.some((known) => known === mediaType)) return 'records';
  const body = new URL(request.url).searchParams.get('body');
  if (body === null || body === 'site') return undefined;
  if (body !== 'sites') throw wrongParameter(`body="${body.slice(0, 40)}" is not one of ${BODIES.join(', ')}`);
  if (COLLECTION_TYPES.some((known) => known === mediaType)) return 'collection';
  throw new HttpProblem({
    code: 'unsupported-media-type',
    detail: `a collection of sites is ${COLLECTION_TYPES.join(' or ')}; sites one after the other are ${STREAM_TYPES.join(' or ')}`,
    headers: { accept: [...COLLECTION_TYPES, ...STREAM_TYPES].join(', ') },
  });
}

function readSequence(id: string | null, accept: string | undefined): Sequence {
  const known = SEQUENCES.map((sequence) => sequence.id).join(', ');
  if (id !== null) {
    const named = SEQUENCES.find((sequence) => sequence.id === id);
    if (named !== undefined) return named;
    throw wrongParameter(`f="${id.slice(0, 40)}" is not written for many sites; known are ${known}`);
  }
  const offers = SEQUENCES.map(({ mediaType }) => mediaType);
  const liked = negotiate(accept, offers);
  const found = SEQUENCES.find(({ mediaType }) => mediaType === liked);
  if (found !== undefined) return found;
  throw new HttpProblem({ code: 'not-acceptable', detail: `many sites are answered in ${offers.join(' or ')}` });
}
