import {
  bytesOf,
  type Database,
  numberOf,
  type Row,
  type SqlValue,
  type Statement,
  textOf,
  textOrNull,
} from '#api/store/database.ts';

/** The words of OGC 18-062r2, 7.11. */
export const JOB_STATES = ['accepted', 'running', 'successful', 'failed', 'dismissed'] as const;
type JobState = (typeof JOB_STATES)[number];

export type Job = {
  readonly id: string;
  readonly tenant: string;
  readonly processId: string;
  /** What it works on: the id of a site. */
  readonly subject: string | null;
  readonly status: JobState;
  /** Percent. */
  readonly progress: number;
  readonly message: string | null;
  /** JSON of what was asked for. */
  readonly request: string;
  /** JSON of a problem, where it failed. */
  readonly problem: string | null;
  readonly created: string;
  readonly started: string | null;
  readonly finished: string | null;
  readonly updated: string;
  readonly attempts: number;
  /** Until when it is kept once it has ended, milliseconds since 1970. */
  readonly expiresMs: number;
};

export type NewJob = Pick<Job, 'id' | 'tenant' | 'processId' | 'subject' | 'request'> & {
  /** Small numbers come first. */
  readonly priority: number;
  /** How long it is kept once it has ended, milliseconds. */
  readonly keepMs: number;
  /** The job this is a part of, and goes with. */
  readonly parent?: string;
};

export type JobEnd =
  | { readonly status: 'successful'; readonly result: Uint8Array }
  | { readonly status: 'failed'; readonly problem: string }
  /** It goes on as its parts, written with it; the last of them wakes it up again (`wakeParent`). */
  | { readonly status: 'parted'; readonly parts: readonly Statement[] }
  /** A part that is done leaves nothing behind. */
  | { readonly status: 'gone' };

/** Where a page of jobs ended. */
export type JobPlace = Pick<Job, 'created' | 'id'>;

export type JobFilter = {
  readonly processIds?: readonly string[] | undefined;
  readonly states?: readonly JobState[] | undefined;
  readonly createdFrom?: string | undefined;
  readonly createdTo?: string | undefined;
  /** How long it ran, or has run so far, milliseconds, both included; one that has not begun has no duration. */
  readonly ranMsMin?: number | undefined;
  readonly ranMsMax?: number | undefined;
  /** Only what comes after this in the list. */
  readonly after?: JobPlace | undefined;
};

/** Jobs that outlive the process: taken with a lease, so that a worker that dies gives its job back. */
export interface Queue {
  /** The statements that add a job, to be written together with what it belongs to. */
  add(job: NewJob): readonly Statement[];
  /** The next job to do, ours for `leaseMs`; undefined where there is none. */
  take(owner: string, leaseMs: number): Promise<Job | undefined>;
  /** Says that it still runs, and how far it is; false where it is no longer ours (dismissed, or taken over). */
  renew(
    job: Pick<Job, 'id'>,
    owner: string,
    leaseMs: number,
    progress: number,
    message: string | null,
  ): Promise<boolean>;
  /** Ends it; false where it was no longer ours. Without an end it goes back to be done again after `retryMs`. */
  release(job: Pick<Job, 'id'>, owner: string, end: JobEnd | { readonly retryMs: number }): Promise<boolean>;
  /** Gives back at once what is leased: for whoever alone may open the store, so that every lease is of a process that has ended. */
  takeBack(): Promise<void>;
  /** Touches a job that is still ours: at the head of a list of statements it keeps a worker that was taken for dead from writing. */
  hold(job: Pick<Job, 'id'>, owner: string): Statement;
  /** Stops it with its parts, or forgets one that has ended. */
  dismiss(tenant: string, id: string): Promise<Job | undefined>;
  readonly look: JobLook;
}

type JobLook = {
  readonly one: (tenant: string, id: string) => Promise<Job | undefined>;
  readonly list: (tenant: string, filter: JobFilter, limit: number) => Promise<Job[]>;
  readonly result: (tenant: string, id: string) => Promise<Uint8Array | undefined>;
  /** How many wait or run. */
  readonly open: (tenant?: string) => Promise<number>;
  /** How many are kept of these processes, ended or not. */
  readonly count: (tenant: string, processIds: readonly string[]) => Promise<number>;
  /** Removes what is past its time. */
  readonly sweep: () => Promise<void>;
};

const COLUMNS = `id, tenant_id, process_id, subject, status, progress, message, request, problem, created_at, started_at,
  finished_at, updated_at, attempts, expires_at`;
/** What was asked for is let go at the end: it may be a whole site. */
const ENDED =
  "request = '{}', finished_at = ?, updated_at = ?, finished_ms = ?, expires_at = coalesce(keep_ms + ?, expires_at)";
const endedAt = (at: string): SqlValue[] => [at, at, Date.parse(at), Date.parse(at)];
/**
 * Whose turn it is: every tenant's jobs stand one behind the other, the first of them beside those that are next of the others (a virtual clock,
 * as in fair queueing by start times: Goyal, Vin, Cheng 1997, from memory). So a large job of one keeps no other waiting.
 */
const TURN = `(select max(t) from (select coalesce((select min(turn) from job where status = 'accepted'), (select max(turn) from job), 0) as t
  union all select coalesce(max(turn), -1) + 1 as t from job where tenant_id = ? and status = 'accepted') as turns)`;
/** Until when a job is leased that waits for its parts, milliseconds since 1970. */
const PARTED_UNTIL = 1e15;
const SKIP_LOCKED = { sqlite: '', postgres: ' for update skip locked' } as const;

/** The queue as a table beside everything else: what a job is about and the job are written together or not at all. */
export function tableQueue(database: Database, now: () => string): Queue {
  const clockMs = () => Date.parse(now());
  const update = async (sql: string, values: readonly SqlValue[]) => {
    const [rows] = (await database.write([{ sql, values }])) ?? [[]];
    return rows[0];
  };
  return {
    add({ id, tenant, processId, subject, request, priority, keepMs, parent = null }) {
      const at = now();
      const sql = `insert into job (id, tenant_id, process_id, subject, status, priority, progress, request, created_at, updated_at, attempts,
          not_before, expires_at, keep_ms, parent_id, turn) values (?, ?, ?, ?, 'accepted', ?, 0, ?, ?, ?, 0, ?, ?, ?, ?, ${TURN})`;
      const times = [at, at, clockMs(), clockMs() + keepMs, keepMs];
      return [{ sql, values: [id, tenant, processId, subject, priority, request, ...times, parent, tenant] }];
    },
    async take(owner, leaseMs) {
      const [at, ms] = [now(), clockMs()];
      // What a dead worker has left comes before anything new.
      for (const free of ["status = 'running' and lease_until < ?", "status = 'accepted' and not_before <= ?"]) {
        const row = await update(
          `update job set status = 'running', lease_owner = ?, lease_until = ?, attempts = attempts + 1,
            started_at = coalesce(started_at, ?), started_ms = coalesce(started_ms, ?), updated_at = ? where id = (
              select id from job where ${free} order by priority, turn, created_at, id limit 1${SKIP_LOCKED[database.dialect]})
            returning ${COLUMNS}`,
          [owner, ms + leaseMs, at, ms, at, ms],
        );
        if (row !== undefined) return jobOf(row);
      }
      return undefined;
    },
    async renew({ id }, owner, leaseMs, progress, message) {
      const row = await update(
        `update job set lease_until = ?, progress = ?, message = ?, updated_at = ?
          where id = ? and lease_owner = ? and status = 'running' returning id`,
        [clockMs() + leaseMs, progress, message, now(), id, owner],
      );
      return row !== undefined;
    },
    async release({ id }, owner, end) {
      const at = now();
      const mine = "where id = ? and lease_owner = ? and status = 'running' returning id";
      if ('retryMs' in end) {
        const sql = `update job set status = 'accepted', lease_owner = null, not_before = ?, updated_at = ? ${mine}`;
        return (await update(sql, [clockMs() + end.retryMs, at, id, owner])) !== undefined;
      }
      if (end.status === 'gone') return (await update(`delete from job ${mine}`, [id, owner])) !== undefined;
      if (end.status === 'parted') {
        const sql = `update job set lease_owner = null, lease_until = ?, updated_at = ? ${mine}`;
        const parted = { sql, values: [PARTED_UNTIL, at, id, owner], mustTouch: true };
        return (await database.write([parted, ...end.parts])) !== undefined;
      }
      const done = end.status === 'successful';
      const sql = `update job set status = ?, result = ?, problem = ?, progress = case when ? = 1 then 100 else progress end, ${ENDED} ${mine}`;
      const outcome = [end.status, done ? end.result : null, done ? null : end.problem, done ? 1 : 0];
      const values = [...outcome, ...endedAt(at), id, owner];
      return (await update(sql, values)) !== undefined;
    },
    async takeBack() {
      await update("update job set lease_until = 0 where status = 'running' and lease_until < ?", [PARTED_UNTIL]);
    },
    hold: ({ id }, owner) => ({
      sql: "update job set updated_at = ? where id = ? and lease_owner = ? and status = 'running' returning id",
      values: [now(), id, owner],
      mustTouch: true,
    }),
    async dismiss(tenant, id) {
      const at = now();
      // Parts first: a worker that writes holds its part and then wants the whole.
      const [, [stopped]] = (await database.write([
        { sql: 'delete from job where parent_id = ? and tenant_id = ?', values: [id, tenant] },
        {
          sql: `update job set status = 'dismissed', ${ENDED} where tenant_id = ? and id = ?
            and status in ('accepted', 'running') returning ${COLUMNS}`,
          values: [...endedAt(at), tenant, id],
        },
      ])) ?? [[], []];
      if (stopped !== undefined) return jobOf(stopped);
      const sql = `delete from job where tenant_id = ? and id = ? returning ${COLUMNS}`;
      const removed = await update(sql, [tenant, id]);
      return removed === undefined ? undefined : { ...jobOf(removed), status: 'dismissed' };
    },
    look: jobLook(database, clockMs),
  };
}

/** Wakes a job up whose parts are all done: `isDone` is SQL that is true then, with its values. */
export function wakeParent(id: string, isDone: string, values: readonly SqlValue[]): Statement {
  return {
    sql: `update job set lease_until = 0 where id = ? and status = 'running' and ${isDone}`,
    values: [id, ...values],
  };
}

function jobLook(database: Database, clockMs: () => number): JobLook {
  return {
    async one(tenant, id) {
      const [row] = await database.read(`select ${COLUMNS} from job where tenant_id = ? and id = ?`, [tenant, id]);
      return row === undefined ? undefined : jobOf(row);
    },
    async list(tenant, filter, limit) {
      const wanted = conditionOf(tenant, filter, clockMs());
      const sql = `select ${COLUMNS} from job where ${wanted.sql} order by created_at desc, id limit ?`;
      return (await database.read(sql, [...wanted.values, limit])).map(jobOf);
    },
    async result(tenant, id) {
      const sql = "select result from job where tenant_id = ? and id = ? and status = 'successful'";
      const [row] = await database.read(sql, [tenant, id]);
      return row === undefined ? undefined : bytesOf(row, 'result');
    },
    async open(tenant) {
      const mine = tenant === undefined ? '' : ' and tenant_id = ?';
      const sql = `select cast(count(*) as integer) as n from job where status in ('accepted', 'running')${mine}`;
      const [row] = await database.read(sql, tenant === undefined ? [] : [tenant]);
      return numberOf(row, 'n');
    },
    async count(tenant, processIds) {
      const { sql, values } = conditionOf(tenant, { processIds }, clockMs());
      return numberOf(
        (await database.read(`select cast(count(*) as integer) as n from job where ${sql}`, values))[0],
        'n',
      );
    },
    async sweep() {
      const sql = "delete from job where expires_at < ? and status in ('successful', 'failed', 'dismissed')";
      await database.write([{ sql, values: [clockMs()] }]);
    },
  };
}

type Condition = { readonly sql: string; readonly values: readonly SqlValue[] };

function conditionOf(tenant: string, filter: JobFilter, nowMs: number): Condition {
  const { processIds, states, createdFrom, createdTo, ranMsMin, ranMsMax, after } = filter;
  const oneOf = (column: string, list: readonly string[] | undefined): Condition[] =>
    list === undefined
      ? []
      : [{ sql: list.length === 0 ? '1 = 0' : `${column} in (${list.map(() => '?').join(', ')})`, values: list }];
  const bound = (sql: string, ...values: readonly (string | number | undefined)[]): Condition[] =>
    values.some((value) => value === undefined) ? [] : [{ sql, values: values.flatMap((value) => value ?? []) }];
  const parts: readonly Condition[] = [
    { sql: 'tenant_id = ?', values: [tenant] },
    ...oneOf('process_id', processIds),
    ...oneOf('status', states),
    ...bound('created_at >= ?', createdFrom),
    ...bound('created_at <= ?', createdTo),
    ...bound('coalesce(finished_ms, ?) - started_ms >= ?', nowMs, ranMsMin),
    ...bound('coalesce(finished_ms, ?) - started_ms <= ?', nowMs, ranMsMax),
    ...bound('(created_at < ? or (created_at = ? and id > ?))', after?.created, after?.created, after?.id),
  ];
  return { sql: parts.map(({ sql }) => sql).join(' and '), values: parts.flatMap(({ values }) => values) };
}

function jobOf(row: Row): Job {
  const said = textOf(row, 'status');
  const status = JOB_STATES.find((state) => state === said);
  if (status === undefined) throw new Error(`"${said}" is no state of a job`);
  return {
    id: textOf(row, 'id'),
    tenant: textOf(row, 'tenant_id'),
    processId: textOf(row, 'process_id'),
    subject: textOrNull(row, 'subject'),
    status,
    progress: numberOf(row, 'progress'),
    message: textOrNull(row, 'message'),
    request: textOf(row, 'request'),
    problem: textOrNull(row, 'problem'),
    created: textOf(row, 'created_at'),
    started: textOrNull(row, 'started_at'),
    finished: textOrNull(row, 'finished_at'),
    updated: textOf(row, 'updated_at'),
    attempts: numberOf(row, 'attempts'),
    expiresMs: numberOf(row, 'expires_at'),
  };
}
