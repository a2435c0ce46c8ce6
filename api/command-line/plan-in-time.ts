import { Worker } from 'node:worker_threads';
import type { MadePlan } from '#api/plan/make-plan.ts';
import { type PlanJob, type RefusedAnswer, refusal } from '#api/plan/plan-job.ts';

/** What the worker of the command line gets as its data. */
export type CommandTask = {
  readonly job: PlanJob;
  /** Bytes of the polygon kernel. */
  readonly kernelBytes: Uint8Array;
  readonly isTraced: boolean;
};
/** What it says: that it takes the job up now, what a stage made (where that is asked for), and its answer. */
export type CommandMessage = 'started' | StageText | MadePlan | RefusedAnswer;
type StageText = { readonly stageId: string; readonly text: string };

const START = new URL('../plan/worker-start.mjs', import.meta.url);
const PROGRAM = new URL('./command-worker.ts', import.meta.url).href;

/**
 * A plan within `job.limits.planningMsMax`, counted from when the worker takes it up; a refusal where that is not enough. What every stage
 * made goes to `trace` as it comes. Rejects only for defects of ours and for what `trace` throws.
 */
export async function planInTime(
  task: Omit<CommandTask, 'isTraced'>,
  trace?: (stageId: string, text: string) => void,
): Promise<MadePlan | RefusedAnswer> {
  const { planningMsMax } = task.job.limits;
  const worker = new Worker(START, {
    workerData: { ...task, program: PROGRAM, isTraced: trace !== undefined },
    execArgv: [],
  });
  let timer: NodeJS.Timeout | undefined;
  try {
    return await new Promise((resolve, reject) => {
      const take = (message: CommandMessage): void => {
        if (message === 'started') timer = setTimeout(() => resolve(outOfTime(planningMsMax)), planningMsMax);
        else if ('stageId' in message) trace?.(message.stageId, message.text);
        else resolve(message);
      };
      worker.on('message', (message: CommandMessage) => {
        try {
          take(message);
        } catch (error) {
          reject(error);
        }
      });
      worker.on('error', reject);
      worker.on('exit', (code) => reject(new Error(`the worker ended with code ${code}`)));
    });
  } finally {
    clearTimeout(timer);
    await worker.terminate();
  }
}

function outOfTime(planningMsMax: number): RefusedAnswer {
  return refusal(
    'time-limit',
    `planning took longer than ${planningMsMax / 1000} s: simplify the outlines, split the site, or allow more time (--limit-s)`,
  );
}
