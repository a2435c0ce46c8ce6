import wasmUrl from 'clipper2-wasm/dist/es/clipper2z.wasm?url';
import { parseSite } from '#api/contract/parse-site.ts';
import {
  FORMATS,
  loadKernel,
  MAX_CELLS,
  planSite,
  readCoverageJson,
  readElevation,
  TerrainError,
} from '#geo-core/index.ts';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { type Problem, SiteError } from '#geo-core/model/problem.ts';
import { drawPlan } from './draw-plan.ts';
import type { StageOutputs } from './layers/material.ts';
import type { PlanReply, PlanRequest, WriteReply, WriteRequest } from './planner-messages.ts';

/** The planner, off the page's thread: the same stages as in the service, on sites that never leave the browser. */
const kernelReady = fetch(wasmUrl)
  .then((response) => response.arrayBuffer())
  .then((bytes) => loadKernel(new Uint8Array(bytes)));

let lastPlan: Plan | undefined;

self.onmessage = async ({ data }: MessageEvent<PlanRequest | WriteRequest>) => {
  const reply = 'write' in data ? writePlan(data) : await answer(data);
  self.postMessage(reply);
};

/** The last plan as a file: the same writers as in the service. */
function writePlan({ request, write }: WriteRequest): WriteReply | PlanReply {
  const format = FORMATS.find(({ id }) => id === write);
  if (format === undefined || lastPlan === undefined)
    return {
      request,
      outcome: 'refused',
      problems: [{ pointer: '', message: `There is nothing to write as ${write}.` }],
      more: 0,
    };
  const written = format.write(lastPlan);
  const content = typeof written === 'string' ? written : new Uint8Array(written);
  return { request, outcome: 'written', content, mediaType: format.mediaType, extension: format.extension };
}

async function answer(request: PlanRequest): Promise<PlanReply> {
  const refused = (problems: readonly Problem[], more = 0): PlanReply => ({
    request: request.request,
    outcome: 'refused',
    problems,
    more,
  });
  try {
    await kernelReady;
    const json = readJson(request.text);
    if ('problem' in json) return refused([json.problem]);
    const parsed = parseSite(json.value, { rules: request.rules ?? undefined });
    if ('problems' in parsed) return refused(parsed.problems, parsed.more);
    const outputs: Record<string, unknown> = {};
    const elevation = await elevationOf(request.elevation, parsed.elevation);
    const site = elevation === undefined ? parsed.site : { ...parsed.site, elevation };
    const plan = planSite(site, parsed.rules, (stage, value) => {
      outputs[stage] = value;
    });
    lastPlan = plan;
    const drawing = drawPlan({
      plan,
      outputs: outputs as StageOutputs,
      labels: labelsOf(parsed.site.features),
      fileName: request.fileName,
    });
    return { request: request.request, outcome: 'drawn', drawing };
  } catch (error) {
    if (error instanceof SiteError) return refused(error.problems, error.more);
    if (error instanceof TerrainError)
      return refused([{ pointer: '/elevation', message: `${error.message} ${error.advice}` }]);
    const reason = error instanceof Error ? error.message : String(error);
    return refused([{ pointer: '', message: `The planner broke down on this site: ${reason}.` }]);
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

function readJson(text: string): { value: unknown } | { problem: Problem } {
  try {
    return { value: JSON.parse(text) };
  } catch (error) {
    const reason = error instanceof SyntaxError ? error.message : String(error);
    return { problem: { pointer: '', message: `This is not JSON: ${reason}.` } };
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
