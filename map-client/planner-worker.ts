import wasmUrl from 'clipper2-wasm/dist/es/clipper2z.wasm?url';
import { parseSite } from '#api/contract/parse-site.ts';
import {
  crsByWkt,
  FORMATS,
  type Handover,
  loadKernel,
  MAX_CELLS,
  PAPERS,
  planSite,
  readCoverageJson,
  readElevation,
  TerrainError,
  writeHtml,
} from '#geo-core/index.ts';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { type Problem, SiteError } from '#geo-core/model/problem.ts';
import { drawPlan } from './draw-plan.ts';
import type { StageOutputs } from './layers/material.ts';
import type {
  PlanReply,
  PlanRequest,
  SimulateReply,
  SimulateRequest,
  WriteReply,
  WriteRequest,
} from './planner-messages.ts';
import { simulateWeek } from './simulate-week.ts';
import { loadWords, type Say, type WordKey, type Words } from './wording/words.ts';

/** The planner, off the page's thread: the same stages as in the service, on sites that never leave the browser. */
const kernelReady = fetch(wasmUrl)
  .then((response) => response.arrayBuffer())
  .then((bytes) => loadKernel(new Uint8Array(bytes)));

/** The last garden that was planned, what it was planned from, and what its stages made of it. */
type Planned = {
  readonly request: PlanRequest;
  readonly handover: Handover;
  readonly outputs: StageOutputs;
  readonly words: Words;
};
let last: Planned | undefined;

self.onmessage = async ({ data }: MessageEvent<PlanRequest | WriteRequest | SimulateRequest>) => {
  const reply = 'write' in data ? await write(data) : 'simulate' in data ? await simulate(data) : await answer(data);
  self.postMessage(reply);
};

async function simulate({ request, simulate: { seed } }: SimulateRequest): Promise<SimulateReply | PlanReply> {
  const week = last === undefined ? undefined : simulateWeek(last.outputs, last.handover.plan.rules, seed);
  if (week !== undefined) return { request, outcome: 'simulated', ...week };
  const message = (await presentWords()).say('problems.noGround');
  return { request, outcome: 'refused', problems: [{ pointer: '', message }], more: 0 };
}

/** The last plan as a file or paper: the same writers as in the service; a PDF comes from the service, where there is one. */
async function write({ request, write: wanted }: WriteRequest): Promise<WriteReply | PlanReply> {
  const { say } = await presentWords();
  const refused = (key: WordKey, values?: Readonly<Record<string, string>>): PlanReply => ({
    request,
    outcome: 'refused',
    problems: [{ pointer: '', message: say(key, values) }],
    more: 0,
  });
  if (last === undefined) return refused('problems.nothingPlanned');
  const format = FORMATS.find(({ id }) => id === wanted);
  if (format !== undefined) {
    const written = format.write(last.handover.plan);
    const content = typeof written === 'string' ? written : new Uint8Array(written);
    return { request, outcome: 'written', content, mediaType: format.mediaType, ending: `plan.${format.extension}` };
  }
  const paper = PAPERS.find(({ id }) => wanted === `${id}-html` || wanted === `${id}-pdf`);
  if (paper === undefined) return refused('problems.noSuchFile', { format: wanted });
  if (wanted.endsWith('-html')) {
    const content = writeHtml(paper.make(last.handover));
    return { request, outcome: 'written', content, mediaType: 'text/html', ending: `${paper.fileName}.html` };
  }
  try {
    const content = await pdfFromService(last.request, wanted);
    return { request, outcome: 'written', content, mediaType: 'application/pdf', ending: `${paper.fileName}.pdf` };
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    return refused('problems.noPdf', { why: reason });
  }
}

/** The words of the last plan; before there is one, English. */
function presentWords(): Promise<Words> {
  return last === undefined ? loadWords('en') : Promise.resolve(last.words);
}

/** Sends the garden to the service that the page came from. */
async function pdfFromService(
  { text, rules, elevation, fileName }: PlanRequest,
  format: string,
): Promise<Uint8Array<ArrayBuffer>> {
  const query = new URLSearchParams({ f: format, ...(rules !== null && { rules }) });
  const body = new FormData();
  body.set('site', new File([text], fileName, { type: 'application/geo+json' }));
  if (elevation !== null) {
    body.set('elevation', new File([elevation.bytes], elevation.fileName));
    const epsg = elevation.projectionWkt === null ? undefined : crsByWkt(elevation.projectionWkt)?.epsg;
    if (epsg !== undefined) body.set('elevationEpsg', String(epsg));
  }
  const response = await fetch(`/plan?${query}`, { method: 'POST', body });
  if (!response.ok || response.headers.get('content-type') !== 'application/pdf')
    throw new Error(`HTTP ${response.status}`);
  return new Uint8Array(await response.arrayBuffer());
}

async function answer(request: PlanRequest): Promise<PlanReply> {
  const words = await loadWords(request.locale);
  const refused = (problems: readonly Problem[], more = 0): PlanReply => ({
    request: request.request,
    outcome: 'refused',
    problems,
    more,
  });
  try {
    await kernelReady;
    const json = readJson(request.text, words.say);
    if ('problem' in json) return refused([json.problem]);
    const parsed = parseSite(json.value, { rules: request.rules ?? undefined });
    if ('problems' in parsed) return refused(parsed.problems, parsed.more);
    const outputs: Record<string, unknown> = {};
    const elevation = await elevationOf(request.elevation, parsed.elevation);
    const site = elevation === undefined ? parsed.site : { ...parsed.site, elevation };
    const plan = planSite(site, parsed.rules, (stage, value) => {
      outputs[stage] = value;
    });
    const details = site.papers ?? {};
    const today = new Date().toISOString().slice(0, 10);
    const handover = { plan, site, units: site.units ?? 'metric', details, today, options: [] };
    last = { request, handover, outputs: outputs as StageOutputs, words };
    const drawing = drawPlan({
      plan,
      outputs: outputs as StageOutputs,
      labels: labelsOf(parsed.site.features),
      fileName: request.fileName,
      words,
      units: request.units,
    });
    return { request: request.request, outcome: 'drawn', drawing };
  } catch (error) {
    if (error instanceof SiteError) return refused(error.problems, error.more);
    if (error instanceof TerrainError)
      return refused([{ pointer: '/elevation', message: `${error.message} ${error.advice}` }]);
    const reason = error instanceof Error ? error.message : String(error);
    return refused([{ pointer: '', message: words.say('problems.brokeDown', { why: reason }) }]);
  }
}

/** A grid picked with the site, or one the site carries inline. */
async function elevationOf(file: PlanRequest['elevation'], inline: unknown): Promise<ElevationGrid | undefined> {
  if (file !== null) {
    const { fileName, bytes, projectionWkt } = file;
    return readElevation(new Uint8Array(bytes), { fileName, projectionWkt: projectionWkt ?? undefined });
  }
  return inline === undefined ? undefined : readCoverageJson(inline, 'inline', MAX_CELLS);
}

function readJson(text: string, say: Say): { value: unknown } | { problem: Problem } {
  try {
    return { value: JSON.parse(text) };
  } catch (error) {
    const reason = error instanceof SyntaxError ? error.message : String(error);
    return { problem: { pointer: '', message: say('problems.notJson', { why: reason }) } };
  }
}

/** What the file itself calls its features: `name`, or else `note`. */
function labelsOf(
  features: readonly { readonly properties: Readonly<Record<string, unknown>> | null }[],
): Map<string, string> {
  const labels = new Map<string, string>();
  for (const [index, { properties }] of features.entries()) {
    const label = properties?.name ?? properties?.note;
    if (typeof label === 'string') labels.set(`/features/${index}`, label);
  }
  return labels;
}
