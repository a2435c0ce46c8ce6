import { z } from '#api/contract/zod.ts';
import { readBody } from '#api/plan/read-body.ts';
import { readJson } from '#api/plan/read-json.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { faultsBy, type Given, type Input, type Inputs, invalidInput, type Process } from './process.ts';

/** What is asked of a process, checked: plain JSON, so that it can be kept with its job. */
export type Execution = {
  readonly inputs: Inputs;
  /** Ids of the outputs wanted. */
  readonly outputs: readonly string[];
  readonly response: 'raw' | 'document';
};

type Fault = { readonly pointer: string; readonly detail: string };

const bodySchema = z.object({
  inputs: z.record(z.string(), z.unknown()).default({}),
  outputs: z
    .record(
      z.string(),
      z.looseObject({
        transmissionMode: z.enum(['value']).optional(),
        format: z.looseObject({ mediaType: z.string().optional() }).optional(),
      }),
    )
    .default({}),
  response: z.enum(['raw', 'document']).default('raw'),
});

/** The body of an execution (OGC 18-062r2, 7.11), held against the description of its process; throws 400 with every fault. */
export async function readExecution(
  request: Request,
  process: Process,
  root: string,
  limits: Limits,
): Promise<Execution> {
  const mediaType = request.headers.get('content-type')?.split(';')[0].trim().toLowerCase();
  if (mediaType !== undefined && mediaType !== 'application/json') {
    throw new HttpProblem({
      code: 'unsupported-media-type',
      detail: `send application/json, this is "${mediaType.slice(0, 80)}"`,
      headers: { accept: 'application/json' },
    });
  }
  const read = readJson(await readBody(request, limits.bodyBytesMax), limits.nestingMax);
  if ('detail' in read) throw new HttpProblem({ code: 'invalid-json', detail: read.detail });
  const asked = bodySchema.safeParse(read.json);
  if (!asked.success) {
    throw invalidInput(faultsBy(bodySchema)(read.json).map(({ pointer, message }) => ({ pointer, detail: message })));
  }
  const { inputs, outputs, response } = asked.data;
  if (isObject(read.json) && read.json.subscriber !== undefined) {
    throw invalidInput([
      { pointer: '/subscriber', detail: 'nobody is called back: ask for the job until it has ended' },
    ]);
  }
  const faults: Fault[] = [...unknownIds('inputs', inputs, process.inputs), ...outputFaults(outputs, process)];
  const given = Object.fromEntries(
    Object.entries(process.inputs).map(([id, input]) => [
      id,
      givenValues(inputs[id], { input, pointer: `/inputs/${id}`, root, faults }),
    ]),
  );
  if (faults.length > 0) throw invalidInput(faults);
  const wanted = Object.keys(outputs);
  return { inputs: withoutEmpty(given), outputs: wanted.length > 0 ? wanted : Object.keys(process.outputs), response };
}

function withoutEmpty(given: Inputs): Inputs {
  return Object.fromEntries(Object.entries(given).filter(([, values]) => values.length > 0));
}

function unknownIds(member: string, given: object, known: object): Fault[] {
  return Object.keys(given)
    .filter((id) => !Object.hasOwn(known, id))
    .map((id) => ({
      pointer: `/${member}/${id.slice(0, 80).replaceAll('~', '~0').replaceAll('/', '~1')}`,
      detail: `known are ${Object.keys(known).join(', ')}`,
    }));
}

function outputFaults(outputs: z.infer<typeof bodySchema>['outputs'], { outputs: known }: Process): Fault[] {
  const wrongFormats = Object.entries(outputs).flatMap(([id, { format }]) => {
    const output = Object.hasOwn(known, id) ? known[id] : undefined;
    if (output === undefined || format?.mediaType === undefined || format.mediaType === output.mediaType) return [];
    return [{ pointer: `/outputs/${id}/format/mediaType`, detail: `this comes as ${output.mediaType} only` }];
  });
  return [...unknownIds('outputs', outputs, known), ...wrongFormats];
}

type Place = { readonly input: Input; readonly pointer: string; readonly root: string; readonly faults: Fault[] };

/** The occurrences of one input; what is wrong goes to `faults`. */
function givenValues(sent: unknown, place: Place): Given[] {
  const { input, pointer, faults } = place;
  const { minOccurs, maxOccurs } = input;
  const isMany = maxOccurs > 1 && Array.isArray(sent);
  const values = isMany ? sent : sent === undefined ? [] : [sent];
  if (values.length < minOccurs || values.length > maxOccurs) {
    const wanted = minOccurs === maxOccurs ? String(minOccurs) : `${minOccurs} to ${maxOccurs}`;
    faults.push({ pointer, detail: `wanted ${wanted} of this, given ${values.length}: ${input.description}` });
    return [];
  }
  return values.flatMap((value: unknown, i) => {
    const given = plainValue(value, { ...place, pointer: isMany ? `${pointer}/${i}` : pointer });
    if (given === undefined) return [];
    const wrong = input.faults(given.value);
    for (const fault of wrong) faults.push({ pointer: `${given.pointer}${fault.pointer}`, detail: fault.message });
    return wrong.length > 0 ? [] : [given];
  });
}

/** `{"value": ..., "mediaType": ...}`, `{"href": ...}` or the bare value -> the value. */
function plainValue(sent: unknown, { input, pointer, root, faults }: Place): Given | undefined {
  if (!isObject(sent)) return { value: sent, pointer };
  if (sent.href !== undefined) return valueAt(sent.href, { input, pointer, root, faults });
  if (sent.value === undefined) return { value: sent, pointer };
  if (sent.mediaType !== undefined && !input.mediaTypes.some((known) => known === sent.mediaType)) {
    faults.push({ pointer: `${pointer}/mediaType`, detail: `known are ${input.mediaTypes.join(', ')}` });
    return undefined;
  }
  if (sent.encoding !== undefined) {
    faults.push({ pointer: `${pointer}/encoding`, detail: 'send the value as it is, not encoded' });
    return undefined;
  }
  return { value: sent.value, pointer: `${pointer}/value` };
}

/** An address is only read, never followed: whoever could make the service fetch could look where only the service may. */
function valueAt(href: unknown, { input, pointer, root, faults }: Place): Given | undefined {
  const isHere = typeof href === 'string' && href.startsWith(`${root}/`);
  const value = isHere ? input.valueAt?.(href.slice(root.length)) : undefined;
  if (value !== undefined) return { value, pointer };
  const detail =
    input.valueAt === undefined
      ? 'send the value itself: nothing is fetched'
      : `send the value itself, or an address of this service such as ${root}/sites/{id}: nothing is fetched`;
  faults.push({ pointer: `${pointer}/href`, detail });
  return undefined;
}
