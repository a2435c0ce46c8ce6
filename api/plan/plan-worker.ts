import { parentPort, workerData } from 'node:worker_threads';
import { loadKernel, STAGE_IDS } from '#geo-core/index.ts';
import { answerPlan } from './answer-plan.ts';
import type { PlanAnswer, WorkerMessage, WorkerTask } from './plan-job.ts';

const { kernelBytes } = workerData as { readonly kernelBytes: Uint8Array };
const port = parentPort;
if (port === null) throw new Error('plan-worker.ts runs as a worker thread only');
await loadKernel(kernelBytes);

port.on('message', ({ job, tellsStages }: WorkerTask) => {
  let done = 0;
  const tell = () => {
    done += 1;
    port.postMessage({ outcome: 'stage', done, of: STAGE_IDS.length } satisfies WorkerMessage);
  };
  void answerPlan(job, tellsStages ? tell : undefined)
    .catch((error: unknown): PlanAnswer => ({ outcome: 'failed', trace: traceOf(error) }))
    .then((answer) => port.postMessage(answer, answer.outcome === 'planned' ? [transferable(answer.body)] : []));
});
port.postMessage('up' satisfies WorkerMessage);

function transferable({ buffer }: Uint8Array): ArrayBuffer {
  if (buffer instanceof ArrayBuffer) return buffer;
  throw new Error('an answer must not share its memory');
}

function traceOf(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
