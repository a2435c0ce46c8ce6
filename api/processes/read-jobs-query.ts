import { readDatetime } from '#api/items/read-datetime.ts';
import { HttpProblem } from '#api/problems.ts';
import { JOB_STATES, type JobFilter, type JobPlace } from '#api/queue/queue.ts';
import { PROCESSES } from './processes.ts';

export const JOBS_LIMIT = { minimum: 1, maximum: 1_000, default: 100 } as const;
export const JOB_PARAMETERS = [
  'processID',
  'status',
  'type',
  'datetime',
  'minDuration',
  'maxDuration',
  'limit',
  'after',
];

/** The filters of a list of jobs (OGC 18-062r2, 11.3); jobs that the service queues for itself are not among them. */
export function readJobsQuery(query: ReadonlyMap<string, string>): {
  readonly filter: JobFilter;
  readonly limit: number;
} {
  const listed = (name: string) => query.get(name)?.split(',');
  const wanted = listed('processID');
  const { from: createdFrom, to: createdTo } = readDatetime(query.get('datetime'));
  for (const type of listed('type') ?? []) {
    if (type !== 'process') throw wrong('type', type, 'process');
  }
  const states = listed('status')?.map((word) => {
    const state = JOB_STATES.find((known) => known === word);
    if (state === undefined) throw wrong('status', word, JOB_STATES.join(', '));
    return state;
  });
  const processIds = PROCESSES.map(({ id }) => id).filter((id) => wanted === undefined || wanted.includes(id));
  const [ranMsMin, ranMsMax] = ['minDuration', 'maxDuration'].map((name) => {
    const seconds = wholeNumber(query, name, 0);
    return seconds === undefined ? undefined : 1000 * seconds;
  });
  const limit = Math.min(wholeNumber(query, 'limit', JOBS_LIMIT.minimum) ?? JOBS_LIMIT.default, JOBS_LIMIT.maximum);
  return { filter: { processIds, states, createdFrom, createdTo, ranMsMin, ranMsMax, after: readPlace(query) }, limit };
}

export function writePlace({ created, id }: JobPlace): string {
  return `${created}_${id}`;
}

function readPlace(query: ReadonlyMap<string, string>): JobPlace | undefined {
  const text = query.get('after');
  if (text === undefined) return undefined;
  const [, created, id] = /^(\d{4}-\d{2}-\d{2}T[\d:.]{8,12}Z)_(.{1,80})$/.exec(text) ?? [];
  if (created === undefined || id === undefined) throw wrong('after', text, 'what a link "next" holds');
  return { created, id };
}

export function wholeNumber(query: ReadonlyMap<string, string>, name: string, min: number): number | undefined {
  const text = query.get(name);
  if (text === undefined) return undefined;
  if (/^\d{1,9}$/.test(text) && Number(text) >= min) return Number(text);
  throw wrong(name, text, `a whole number from ${min}`);
}

function wrong(name: string, text: string, wanted: string): HttpProblem {
  return new HttpProblem({
    code: 'invalid-parameter',
    detail: `${name}="${text.slice(0, 80)}" is not known here; wanted is ${wanted}`,
  });
}
