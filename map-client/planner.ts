import type {
  PlanReply,
  PlanRequest,
  SimulateReply,
  SimulateRequest,
  WriteReply,
  WriteRequest,
} from './planner-messages.ts';
import type { Say } from './wording/words.ts';

type Reply = PlanReply | WriteReply | SimulateReply;
type Question = Omit<PlanRequest, 'request'> | Omit<WriteRequest, 'request'> | Omit<SimulateRequest, 'request'>;

export type Planner = {
  /** Plans one site in the worker. Resolves to undefined when a newer request has overtaken it. */
  readonly plan: (request: Omit<PlanRequest, 'request'>) => Promise<PlanReply | undefined>;
  /** The last plan as a file of a format. */
  readonly write: (formatId: string) => Promise<Reply>;
  /** Random runs on the ground of the last plan. */
  readonly simulate: (seed: number) => Promise<Reply>;
};

/** Starts the worker that plans; a worker that breaks is told as a problem and replaced. */
export function createPlanner(say: Say): Planner {
  let worker = start();
  let count = 0;
  let latestPlan = 0;

  function ask(question: Question): Promise<Reply> {
    const request = ++count;
    const current = worker;
    return new Promise((resolve) => {
      const onMessage = ({ data }: MessageEvent<Reply>): void => {
        if (data.request === request) settle(data);
      };
      const onError = (event: ErrorEvent): void => {
        event.preventDefault();
        if (current === worker) {
          worker.terminate();
          worker = start();
        }
        const why = event.message === '' ? say('problems.notLoaded') : event.message;
        const message = say('problems.plannerStopped', { why });
        settle({ request, outcome: 'refused', problems: [{ pointer: '', message }], more: 0 });
      };
      const settle = (reply: Reply): void => {
        current.removeEventListener('message', onMessage);
        current.removeEventListener('error', onError);
        resolve(reply);
      };
      current.addEventListener('message', onMessage);
      current.addEventListener('error', onError);
      current.postMessage({ ...question, request });
    });
  }

  return {
    async plan(question) {
      const number = ++latestPlan;
      const reply = await ask(question);
      const isPlan = reply.outcome === 'drawn' || reply.outcome === 'refused';
      return number === latestPlan && isPlan ? reply : undefined;
    },
    write: (write) => ask({ write }),
    simulate: (seed) => ask({ simulate: { seed } }),
  };
}

function start(): Worker {
  return new Worker(new URL('./planner-worker.ts', import.meta.url), { type: 'module', name: 'planner' });
}
