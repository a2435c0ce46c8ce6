import { HttpProblem } from '#api/problems.ts';
import type { Settings } from '#api/read-config.ts';
import { COMPARE_OPTIONS_PROCESS } from './compare-options.ts';
import { ECHO_PROCESS } from './echo.ts';
import { FIT_MACHINE_PROCESS } from './fit-machine-process.ts';
import { PLAN_PORTFOLIO_PROCESS } from './plan-portfolio-process.ts';
import { PLAN_SITE_PROCESS } from './plan-site-process.ts';
import type { Process } from './process.ts';
import { SPLIT_LAWN_PROCESS } from './split-lawn-process.ts';

/** Everything that can be run. */
export const PROCESSES: readonly Process[] = [
  PLAN_SITE_PROCESS,
  COMPARE_OPTIONS_PROCESS,
  FIT_MACHINE_PROCESS,
  SPLIT_LAWN_PROCESS,
  PLAN_PORTFOLIO_PROCESS,
  ECHO_PROCESS,
];

/** Kinds of exceptions that the standard gives a name, OGC 18-062r2. */
export const EXCEPTION = 'http://www.opengis.net/def/exceptions/ogcapi-processes-1/1.0';

export function offeredProcesses({ hasEcho }: Pick<Settings, 'hasEcho'>): readonly Process[] {
  return PROCESSES.filter((process) => hasEcho || process !== ECHO_PROCESS);
}

/** /req/core/process-exception/no-such-process */
export function offeredProcess(settings: Pick<Settings, 'hasEcho'>, id: string): Process {
  const found = offeredProcesses(settings).find((process) => process.id === id);
  if (found !== undefined) return found;
  throw new HttpProblem({
    code: 'no-such-process',
    type: `${EXCEPTION}/no-such-process`,
    detail: `there is no process "${id.slice(0, 80)}"`,
  });
}
