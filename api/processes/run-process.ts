import type { HouseWorld } from '#api/house/house.ts';
import type { Handler } from '#api/house/runner.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Store } from '#api/store/open-store.ts';
import type { Process } from './process.ts';
import type { Execution } from './read-execution.ts';

/** What a job leaves: its outputs, and how the caller wants them. */
export type KeptResult = Pick<Execution, 'response'> & { readonly outputs: Readonly<Record<string, unknown>> };

/** The worker of a queued process. */
export function runProcess(
  process: Process,
  store: Store,
  { planner, limits }: Pick<HouseWorld, 'planner' | 'limits'>,
): Handler {
  return async ({ tenant, request }, { progress, signal }) => {
    const execution: Execution = JSON.parse(request);
    try {
      const outputs = await process.run(execution.inputs, { tenant, store, planner, limits, progress, signal });
      const kept: KeptResult = { response: execution.response, outputs: selected(outputs, execution) };
      return { status: 'successful', result: new TextEncoder().encode(JSON.stringify(kept)) };
    } catch (error) {
      if (error instanceof HttpProblem) return { status: 'failed', problem: JSON.stringify(error.parts) };
      throw error;
    }
  };
}

/** Only the outputs that were asked for. */
export function selected(outputs: Readonly<Record<string, unknown>>, { outputs: wanted }: Pick<Execution, 'outputs'>) {
  return Object.fromEntries(wanted.map((id) => [id, outputs[id]]));
}
