import type { LogEvent } from '#api/app.ts';
import type { Job, JobEnd, Queue } from '#api/queue/queue.ts';
import type { Statement } from '#api/store/database.ts';

/** What a handler may do while it works. */
export type Work = {
  /** Says how far it is (percent); throws `NoLongerOurs` where the job was dismissed or taken over. */
  readonly progress: (percent: number, message: string) => Promise<void>;
  readonly signal: AbortSignal;
  /** At the head of what it writes itself: nothing is written once the job is somebody else's. */
  readonly hold: Statement;
};

/** The job could not be done just now and is to be tried again. */
export class TryAgain extends Error {
  override readonly name = 'TryAgain';
}

class NoLongerOurs extends Error {
  override readonly name = 'NoLongerOurs';
}

export type Handler = (job: Job, work: Work) => Promise<JobEnd>;

export type RunnerWorld = {
  readonly queue: Queue;
  readonly handlers: ReadonlyMap<string, Handler>;
  readonly seats: number;
  readonly owner: string;
  readonly log: (event: LogEvent) => void;
};

export type Runner = {
  /** There may be something to do: look at once. */
  readonly wake: () => void;
  /** Waits until a job has ended, at most `waitMs`; true where it has. */
  readonly ended: (tenant: string, id: string, waitMs: number) => Promise<boolean>;
  /** Takes nothing new and gives back what runs. */
  readonly close: () => Promise<void>;
};

const LEASE_MS = 10_000;
const LOOK_EVERY_MS = 1_000;
const SWEEP_EVERY_MS = 60_000;
const RETRY_MS = 500;
/** However often it was tried: a planner that was busy for an hour is asked again within a minute of being free. */
const RETRY_MS_MAX = 60_000;
const ATTEMPTS_MAX = 5;
const OPEN = new Set(['accepted', 'running']);

/** Takes jobs from the queue and does them, `seats` at a time; a job whose worker dies is done again by another. */
export function startRunner({ queue, handlers, seats, owner, log }: RunnerWorld): Runner {
  const running = new Map<Promise<void>, AbortController>();
  const listeners = new Set<() => void>();
  let isClosed = false;
  let isLooking = false;

  async function look(): Promise<void> {
    if (isLooking || isClosed) return;
    isLooking = true;
    try {
      while (running.size < seats && !isClosed) {
        const job = await queue.take(owner, LEASE_MS);
        if (job === undefined) break;
        const stop = new AbortController();
        const done = run(job, stop).finally(() => {
          running.delete(done);
          for (const listener of listeners) listener();
          void look();
        });
        running.set(done, stop);
      }
    } catch (error) {
      log({ event: 'queue-failure', trace: traceOf(error) });
    } finally {
      isLooking = false;
    }
  }

  async function run(job: Job, stop: AbortController): Promise<void> {
    let [percent, message] = [0, job.message];
    const renew = async () => {
      if (!(await queue.renew(job, owner, LEASE_MS, percent, message))) stop.abort();
    };
    const heart = setInterval(() => void renew().catch(() => stop.abort()), LEASE_MS / 3);
    try {
      const end = await attempt(job, {
        signal: stop.signal,
        hold: queue.hold(job, owner),
        async progress(nowPercent, nowMessage) {
          [percent, message] = [nowPercent, nowMessage];
          await renew();
          if (stop.signal.aborted) throw new NoLongerOurs(job.id);
        },
      });
      await queue.release(job, owner, end);
      log({ event: 'job', job: job.id, process: job.processId, attempts: job.attempts, outcome: outcomeOf(end) });
    } catch (error) {
      log({ event: 'queue-failure', job: job.id, trace: traceOf(error) });
    } finally {
      clearInterval(heart);
    }
  }

  async function attempt(job: Job, work: Work): Promise<JobEnd | { readonly retryMs: number }> {
    const handler = handlers.get(job.processId);
    if (handler === undefined) return failed(`there is no process "${job.processId}"`);
    try {
      return await handler(job, work);
    } catch (error) {
      if (error instanceof NoLongerOurs || isClosed) return { retryMs: 0 };
      const retryMs = Math.min(RETRY_MS_MAX, RETRY_MS * 2 ** job.attempts);
      if (error instanceof TryAgain) return { retryMs };
      log({ event: 'failure', job: job.id, trace: traceOf(error) });
      return job.attempts < ATTEMPTS_MAX
        ? { retryMs }
        : failed(`this is a defect of the service; report it with ${job.id}`);
    }
  }

  const timer = setInterval(() => void look(), LOOK_EVERY_MS);
  const sweep = setInterval(() => {
    queue.look.sweep().catch((error: unknown) => log({ event: 'queue-failure', trace: traceOf(error) }));
  }, SWEEP_EVERY_MS);
  timer.unref();
  sweep.unref();
  void look();
  return {
    wake: () => void look(),
    async ended(tenant, id, waitMs) {
      const untilMs = performance.now() + waitMs;
      for (;;) {
        const job = await queue.look.one(tenant, id);
        if (job === undefined || !OPEN.has(job.status)) return true;
        const leftMs = untilMs - performance.now();
        if (leftMs <= 0) return false;
        await new Promise<void>((resolve) => {
          const listener = () => {
            listeners.delete(listener);
            clearTimeout(timeout);
            resolve();
          };
          // Another process may be the one that does it: ask again now and then.
          const timeout = setTimeout(listener, Math.min(leftMs, 250));
          listeners.add(listener);
        });
      }
    },
    async close() {
      isClosed = true;
      clearInterval(timer);
      clearInterval(sweep);
      for (const stop of running.values()) stop.abort();
      await Promise.all(running.keys());
    },
  };
}

function failed(detail: string): JobEnd {
  return { status: 'failed', problem: JSON.stringify({ code: 'internal', detail }) };
}

function outcomeOf(end: JobEnd | { readonly retryMs: number }): string {
  return 'retryMs' in end ? 'again' : end.status;
}

function traceOf(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
