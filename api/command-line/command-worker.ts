import { parentPort, workerData } from 'node:worker_threads';
import { makePlan } from '#api/plan/make-plan.ts';
import { loadKernel } from '#geo-core/index.ts';
import type { CommandMessage, CommandTask } from './plan-in-time.ts';
import { traceText } from './trace-text.ts';

const { job, kernelBytes, isTraced } = workerData as CommandTask;
const port = parentPort;
if (port === null) throw new Error('command-worker.ts runs as a worker thread only');
const say = (message: CommandMessage): void => port.postMessage(message);

await loadKernel(kernelBytes);
say('started');
const trace = (stageId: string, output: unknown): void => say({ stageId, text: traceText(output) });
say(await makePlan(job, isTraced ? trace : undefined));
