import type { KeptService } from './kept-service.ts';

type Body = { readonly inputs?: object; readonly outputs?: object | undefined; readonly response?: string };

/** POSTs an execution of a process. */
export function execute(
  service: KeptService,
  processId: string,
  body: Body | string,
  headers: Record<string, string> = {},
): Promise<Response> {
  return service.send('POST', `/ogc/processes/${processId}/execution`, body, {
    'content-type': 'application/json',
    ...headers,
  });
}

/** Starts a job and returns its id. */
export async function startJob(
  service: KeptService,
  processId: string,
  body: Body,
  headers: Record<string, string> = {},
): Promise<string> {
  const answer = await execute(service, processId, body, { prefer: 'respond-async', ...headers });
  if (answer.status !== 201) throw new Error(`no job: ${answer.status} ${await answer.text()}`);
  return (await answer.json()).jobID;
}
