import type { PlanReply, PlanRequest } from './planner-messages.ts';

export type Planner = {
  /** Plans one site in the worker. Resolves to undefined when a newer request has overtaken it. */
  readonly plan: (request: Omit<PlanRequest, 'request'>) => Promise<PlanReply | undefined>;
};

/** Starts the worker that plans; a worker that breaks is told as a problem and replaced. */
export function createPlanner(): Planner {
  let worker = start();
  let latest = 0;
  return {
    plan(request) {
      const number = ++latest;
      const current = worker;
      return new Promise((resolve) => {
        const onMessage = ({ data }: MessageEvent<PlanReply>): void => {
          if (data.request === number) settle(data);
        };
        const onError = (event: ErrorEvent): void => {
          event.preventDefault();
          if (current === worker) {
            worker.terminate();
            worker = start();
          }
          const message = `The planner stopped: ${event.message === '' ? 'its program did not load' : event.message}.`;
          settle({ request: number, outcome: 'refused', problems: [{ pointer: '', message }], more: 0 });
        };
        const settle = (reply: PlanReply): void => {
          current.removeEventListener('message', onMessage);
          current.removeEventListener('error', onError);
          resolve(number === latest ? reply : undefined);
        };
        current.addEventListener('message', onMessage);
        current.addEventListener('error', onError);
        current.postMessage({ ...request, request: number });
      });
    },
  };
}

function start(): Worker {
  return new Worker(new URL('./planner-worker.ts', import.meta.url), { type: 'module', name: 'planner' });
}
