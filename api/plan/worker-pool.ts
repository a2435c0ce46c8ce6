import { Worker } from 'node:worker_threads';
import {
  type PlanAnswer,
  type PlanJob,
  refusal,
  type StageDone,
  type WorkerMessage,
  type WorkerTask,
} from './plan-job.ts';

/** Where plans are made: off the thread that answers requests, so that none of them waits for another. */
export interface Planner {
  /**
   * Answers whatever happens: too much to do, out of time, out of memory, a defect. When `signal` aborts, a job that waits is given up at once
   * and one that runs is stopped unless it is done in a moment.
   */
  plan(job: PlanJob, signal?: AbortSignal, onStage?: OnStage): Promise<PlanAnswer>;
  load(): PlannerLoad;
  close(): Promise<void>;
}

/** Is told every stage that is done. */
type OnStage = (stage: StageDone) => void;

type PlannerLoad = {
  readonly workers: number;
  readonly busy: number;
  readonly waiting: number;
  readonly waitingMax: number;
};

export type PoolSettings = {
  readonly workers: number;
  readonly queueMax: number;
  readonly workerMemoryMb: number;
  /** Bytes of the polygon kernel, for each worker. */
  readonly kernelBytes: Uint8Array;
};

type Waiting = {
  readonly job: PlanJob;
  readonly signal: AbortSignal | undefined;
  readonly onStage: OnStage | undefined;
  readonly answer: (answer: PlanAnswer) => void;
};
/** A place for a worker. `begin` starts the clock of the job on it; `settle` ends it; without `keep` the worker is ended too. */
type Seat = {
  worker: Worker | undefined;
  isUp: boolean;
  begin: (() => void) | undefined;
  onStage: OnStage | undefined;
  settle: ((answer: PlanAnswer, keep: boolean) => void) | undefined;
};

/** A plan makes several megabytes that are gone with it: where they fit, they are never copied. */
const YOUNG_MB = 64;
/** A worker that has not come up by then never will, milliseconds. It does not count as planning: a cold, loaded machine may take seconds. */
const START_MS_MAX = 60_000;
/** A plan that nobody waits for any more may go on for so long, milliseconds: a new worker takes as long to start. */
const GIVEN_UP_MS_MAX = 500;

const START = new URL('./worker-start.mjs', import.meta.url);
const PROGRAM = new URL('./plan-worker.ts', import.meta.url).href;

/** A pool of worker threads; a worker that runs out of time or memory is ended and replaced when the next job comes. */
export function workerPool(settings: PoolSettings): Planner {
  const seats: Seat[] = Array.from({ length: settings.workers }, () => ({
    worker: undefined,
    isUp: false,
    begin: undefined,
    onStage: undefined,
    settle: undefined,
  }));
  const waiting: Waiting[] = [];

  function startWorker(seat: Seat): Worker {
    const worker = new Worker(START, {
      workerData: { program: PROGRAM, kernelBytes: settings.kernelBytes },
      execArgv: [],
      resourceLimits: { maxOldGenerationSizeMb: settings.workerMemoryMb, maxYoungGenerationSizeMb: YOUNG_MB },
    });
    seat.isUp = false;
    const lose = (answer: PlanAnswer): void => {
      if (seat.worker !== worker) return;
      if (seat.settle === undefined) seat.worker = undefined;
      else seat.settle(answer, false);
    };
    worker.on('message', (message: WorkerMessage) => {
      if (seat.worker !== worker) return;
      if (message === 'up') {
        seat.isUp = true;
        seat.begin?.();
      } else if (message.outcome === 'stage') seat.onStage?.(message);
      else seat.settle?.(message, true);
    });
    worker.on('error', (error: Error & { code?: string }) => {
      lose(error.code === 'ERR_WORKER_OUT_OF_MEMORY' ? outOfMemory(settings) : failed(error));
    });
    worker.on('exit', (code) => lose(failed(new Error(`a worker ended with code ${code}`))));
    return worker;
  }

  function runNext(): void {
    const seat = seats.find(({ settle }) => settle === undefined);
    const next = seat === undefined ? undefined : waiting.shift();
    if (seat === undefined || next === undefined) return;
    void runOn(seat, next).then((answer) => {
      next.answer(answer);
      runNext();
    });
  }

  function runOn(seat: Seat, { job, signal, onStage }: Waiting): Promise<PlanAnswer> {
    const { planningMsMax } = job.limits;
    const worker = seat.worker ?? startWorker(seat);
    seat.worker = worker;
    worker.ref();
    return new Promise((resolve) => {
      let timer = setTimeout(() => seat.settle?.(notStarted(), false), START_MS_MAX);
      seat.begin = () => {
        clearTimeout(timer);
        timer = setTimeout(() => seat.settle?.(outOfTime(planningMsMax), false), planningMsMax);
      };
      let giveUp: NodeJS.Timeout | undefined;
      const onAbort = () => {
        giveUp = setTimeout(() => seat.settle?.(givenUp('while it was planned'), false), GIVEN_UP_MS_MAX);
      };
      signal?.addEventListener('abort', onAbort, { once: true });
      seat.onStage = onStage;
      seat.settle = (answer, keep) => {
        clearTimeout(timer);
        clearTimeout(giveUp);
        signal?.removeEventListener('abort', onAbort);
        seat.onStage = undefined;
        seat.begin = undefined;
        seat.settle = undefined;
        worker.unref();
        if (!keep) {
          seat.worker = undefined;
          void worker.terminate();
        }
        resolve(answer);
      };
      if (seat.isUp) seat.begin();
      worker.postMessage({ job, tellsStages: onStage !== undefined } satisfies WorkerTask);
    });
  }

  return {
    plan(job, signal, onStage) {
      if (waiting.length >= settings.queueMax && seats.every(({ settle }) => settle !== undefined)) {
        return Promise.resolve(refusal('busy', `${waiting.length} requests wait already: try again later`));
      }
      if (signal?.aborted) return Promise.resolve(givenUp('before it was planned'));
      return new Promise((resolve) => {
        const onAbort = () => {
          const place = waiting.indexOf(entry);
          if (place < 0) return;
          waiting.splice(place, 1);
          resolve(givenUp('while it waited'));
        };
        const answer = (given: PlanAnswer) => {
          signal?.removeEventListener('abort', onAbort);
          resolve(given);
        };
        const entry: Waiting = { job, signal, onStage, answer };
        waiting.push(entry);
        signal?.addEventListener('abort', onAbort, { once: true });
        runNext();
      });
    },
    load: () => ({
      workers: seats.length,
      busy: seats.filter(({ settle }) => settle !== undefined).length,
      waiting: waiting.length,
      waitingMax: settings.queueMax,
    }),
    async close() {
      for (const { answer } of waiting.splice(0)) answer(refusal('busy', 'the service is stopping'));
      await Promise.all(seats.map(({ worker }) => worker?.terminate()));
    },
  };
}

function outOfTime(planningMsMax: number): PlanAnswer {
  return refusal(
    'time-limit',
    `planning took longer than ${planningMsMax / 1000} s (LOOPWRIGHT_PLANNING_MAX_S): simplify the outlines or split the site`,
  );
}

function givenUp(when: string): PlanAnswer {
  return refusal('busy', `the request was given up ${when}`);
}

function notStarted(): PlanAnswer {
  return failed(new Error(`a worker did not start within ${START_MS_MAX / 1000} s`));
}

function outOfMemory({ workerMemoryMb }: PoolSettings): PlanAnswer {
  return refusal(
    'memory-limit',
    `planning took more than ${workerMemoryMb} MB (LOOPWRIGHT_WORKER_MEMORY_MB): simplify the outlines, split the site or send a coarser grid`,
  );
}

function failed(error: Error): PlanAnswer {
  return { outcome: 'failed', trace: error.stack ?? error.message };
}
