import { type Link, REL } from '#api/ogc/links.ts';
import type { Job } from '#api/queue/queue.ts';

/** A job as the standard tells of it (OGC 18-062r2, 7.12). */
export function statusInfo(job: Job) {
  const { id, processId, status, progress, created, started, finished, updated } = job;
  const message = messageOf(job);
  return {
    jobID: id,
    processID: processId,
    type: 'process',
    status,
    ...(message !== null && { message }),
    progress,
    created,
    ...(started !== null && { started }),
    ...(finished !== null && { finished }),
    updated,
  };
}

function messageOf({ status, message, problem, expiresMs }: Job): string | null {
  switch (status) {
    case 'successful':
      return `results are kept until ${new Date(expiresMs).toISOString()}`;
    case 'failed':
      return problem === null ? null : String(JSON.parse(problem).detail);
    case 'dismissed':
      return null;
    default:
      return message;
  }
}

export function jobLinks(root: string, { id, processId, status }: Pick<Job, 'id' | 'processId' | 'status'>): Link[] {
  const here = `${root}/jobs/${id}`;
  const json = { type: 'application/json' };
  return [
    {
      rel: status === 'accepted' || status === 'running' ? 'monitor' : 'status',
      href: here,
      ...json,
      title: 'the job',
    },
    ...(status === 'successful' ? [{ rel: `${REL}/results`, href: `${here}/results`, title: 'its results' }] : []),
    ...(status === 'failed' ? [{ rel: `${REL}/exceptions`, href: `${here}/results`, title: 'why it failed' }] : []),
    ...(processId === 'plan-portfolio' && status !== 'dismissed'
      ? [
          {
            rel: 'item',
            href: `${here}/sites`,
            type: 'application/geo+json',
            title: 'its sites, as far as they are done',
          },
          { rel: 'describedby', href: `${here}/summary`, ...json, title: 'what is done so far, added up' },
        ]
      : []),
    { rel: `${REL}/processes`, href: `${root}/processes/${processId}`, ...json, title: 'its process' },
    { rel: 'up', href: `${root}/jobs`, ...json, title: 'all jobs' },
  ];
}
