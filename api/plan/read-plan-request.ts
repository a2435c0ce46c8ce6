import { CRS_REMEDY, parseCrs } from '#api/contract/parse-crs.ts';
import { FILE_FORMATS } from '#api/formats/file-formats.ts';
import { WIDTH_PX } from '#api/formats/map-image.ts';
import { negotiate } from '#api/negotiate.ts';
import { PAPER_FORMATS } from '#api/papers/papers.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import { PLAN_KINDS, type PlanKind } from '#geo-core/model/plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { ElevationFile, PlanJob } from './plan-job.ts';
import { readBody } from './read-body.ts';

const PARAMETERS = ['include', 'rules', 'units', 'crs', 'f', 'width', 'body'] as const;
const UNITS = ['metric', 'us'] as const;
const MEDIA_TYPES = ['application/geo+json', 'application/json', 'multipart/form-data'] as const;
/** Many sites, one after the other. */
export const STREAM_TYPES = ['application/geo+json-seq', 'application/x-ndjson'] as const;
const PARTS = ['site', 'elevation', 'elevationEpsg'] as const;

/** A `POST /plan` request -> the job it asks for; throws `HttpProblem` for what a plain look at the request can refuse. */
export async function readPlanRequest(request: Request, limits: Limits): Promise<PlanJob> {
  const query = readQuery(request);
  const mediaType = mediaTypeOf(request);
  if (!MEDIA_TYPES.some((known) => known === mediaType)) throw wrongMediaType(mediaType);
  const options = readPlanOptions(request, query);
  const format = readFormat(query.get('f'), request.headers.get('accept') ?? undefined);
  const body = await readBody(request, limits.bodyBytesMax);
  const sent = mediaType === 'multipart/form-data' ? await readParts(request, body) : { site: body };
  return { ...sent, ...options, format, limits };
}

/** The parameters of the request; throws for one that is not known. */
export function readQuery(request: Request): URLSearchParams {
  const query = new URL(request.url).searchParams;
  for (const name of query.keys()) {
    if (!PARAMETERS.some((known) => known === name)) {
      throw wrongParameter(`there is no parameter "${name.slice(0, 40)}"; known are ${PARAMETERS.join(', ')}`);
    }
  }
  return query;
}

export function mediaTypeOf(request: Request): string | undefined {
  return request.headers.get('content-type')?.split(';')[0].trim().toLowerCase();
}

/** What is asked of a plan, whatever its site: the same for one and for many. */
export function readPlanOptions(request: Request, query: URLSearchParams): Omit<PlanJob, 'site' | 'format' | 'limits'> {
  const include = readInclude(query.get('include'));
  const units = readUnits(query.get('units'));
  const siteCrs = readCrs('crs', query.get('crs')) ?? readCrs('Content-Crs', request.headers.get('content-crs'));
  const planCrs = readCrs('Accept-Crs', request.headers.get('accept-crs')) ?? readCrs('crs', query.get('crs'));
  const rules = readRules(query.get('rules'));
  const widthPx = readWidth(query.get('width'));
  return {
    ...(siteCrs !== undefined && { siteCrs }),
    ...(planCrs !== undefined && { planCrs }),
    ...(include !== undefined && { include }),
    ...(rules !== undefined && { rules }),
    ...(units !== undefined && { units }),
    ...(widthPx !== undefined && { widthPx }),
  };
}

function readWidth(text: string | null): number | undefined {
  if (text === null) return undefined;
  const { least, most } = WIDTH_PX;
  if (/^\d{1,5}$/.test(text) && Number(text) >= least && Number(text) <= most) return Number(text);
  throw wrongParameter(`width="${text.slice(0, 40)}" is no whole number of pixels from ${least} to ${most}`);
}

function readInclude(text: string | null): PlanKind[] | undefined {
  if (text === null) return undefined;
  return text.split(',').map((word) => {
    const kind = PLAN_KINDS.find((known) => known === word.trim());
    if (kind !== undefined) return kind;
    throw wrongParameter(
      `include="${word.slice(0, 40)}" is no kind of plan feature; known are ${PLAN_KINDS.join(', ')}`,
    );
  });
}

function readUnits(text: string | null): 'metric' | 'us' | undefined {
  if (text === null) return undefined;
  const units = UNITS.find((known) => known === text);
  if (units === undefined) throw wrongParameter(`units="${text.slice(0, 40)}" is not one of ${UNITS.join(', ')}`);
  return units;
}

function readRules(name: string | null): string | undefined {
  if (name === null || RULE_SETS.some((set) => set.name === name)) return name ?? undefined;
  const known = RULE_SETS.map((set) => set.name).join(', ');
  throw wrongParameter(`rules="${name.slice(0, 40)}" is no rule set; known are ${known}`);
}

function readCrs(where: string, text: string | null): string | undefined {
  if (text === null) return undefined;
  if (parseCrs(text) === undefined) throw wrongParameter(`${where}="${text.slice(0, 80)}" is not known: ${CRS_REMEDY}`);
  return text;
}

/** Media types that a format answers to, the standard answer first. GeoJSON is JSON. */
const OFFERS = [...FILE_FORMATS, ...PAPER_FORMATS].flatMap(({ id, mediaType }) =>
  (id === 'geojson' ? [mediaType, 'application/json'] : [mediaType]).map((offer) => ({ id, offer })),
);

function readFormat(id: string | null, accept: string | undefined): string {
  if (id !== null) {
    if (OFFERS.some((offer) => offer.id === id)) return id;
    throw wrongParameter(
      `f="${id.slice(0, 40)}" is not written here; known are ${[...new Set(OFFERS.map((known) => known.id))].join(', ')}`,
    );
  }
  // Pages are asked for by name: what a browser sends as its Accept by itself means data here.
  const offers = OFFERS.map(({ offer }) => offer).filter((offer) => !offer.startsWith('text/html'));
  const liked = negotiate(accept, offers);
  const found = OFFERS.find(({ offer }) => offer === liked);
  if (found !== undefined) return found.id;
  throw new HttpProblem({ code: 'not-acceptable', detail: `Accept asks for none of ${offers.join(', ')}` });
}

type SentParts = { readonly site: Uint8Array; readonly elevation?: ElevationFile };

async function readParts(request: Request, body: Uint8Array<ArrayBuffer>): Promise<SentParts> {
  const contentType = request.headers.get('content-type') ?? '';
  let form: FormData;
  try {
    form = await new Response(body, { headers: { 'content-type': contentType } }).formData();
  } catch {
    throw new HttpProblem({
      code: 'invalid-body',
      detail: 'the body is not whole multipart/form-data with the boundary of its Content-Type',
    });
  }
  for (const name of form.keys()) {
    if (!PARTS.some((known) => known === name)) {
      throw new HttpProblem({
        code: 'invalid-body',
        detail: `there is no part "${name.slice(0, 40)}"; known are ${PARTS.join(', ')}`,
      });
    }
  }
  const site = form.get('site');
  if (site === null)
    throw new HttpProblem({ code: 'invalid-body', detail: 'the part "site" is missing: a GeoJSON FeatureCollection' });
  const siteBytes = typeof site === 'string' ? new TextEncoder().encode(site) : await bytesOf(site);
  const elevation = form.get('elevation');
  if (elevation === null) return { site: siteBytes };
  if (typeof elevation === 'string') {
    throw new HttpProblem({
      code: 'invalid-body',
      detail: 'the part "elevation" must be a file (with a file name): GeoTIFF, ASCII grid or CoverageJSON',
    });
  }
  const epsg = readEpsg(form.get('elevationEpsg'));
  return {
    site: siteBytes,
    elevation: { bytes: await bytesOf(elevation), fileName: elevation.name, ...(epsg !== undefined && { epsg }) },
  };
}

async function bytesOf(file: File): Promise<Uint8Array> {
  return new Uint8Array(await file.arrayBuffer());
}

function readEpsg(part: FormDataEntryValue | null): number | undefined {
  if (part === null) return undefined;
  const named = typeof part === 'string' ? parseCrs(part) : undefined;
  if (named !== undefined) return named.crs.epsg;
  const shown = typeof part === 'string' ? part.slice(0, 40) : 'a file';
  throw new HttpProblem({ code: 'invalid-body', detail: `elevationEpsg="${shown}" is not known: ${CRS_REMEDY}` });
}

export function wrongParameter(detail: string): HttpProblem {
  return new HttpProblem({ code: 'invalid-parameter', detail });
}

function wrongMediaType(mediaType: string | undefined): HttpProblem {
  return new HttpProblem({
    code: 'unsupported-media-type',
    detail: `Content-Type ${mediaType === undefined ? 'is missing' : `"${mediaType.slice(0, 80)}" is not read here`}: send ${[...MEDIA_TYPES, ...STREAM_TYPES].join(', ')}`,
    headers: { accept: [...MEDIA_TYPES, ...STREAM_TYPES].join(', ') },
  });
}
