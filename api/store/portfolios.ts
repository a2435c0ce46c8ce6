import { gunzipSync, gzipSync } from 'node:zlib';
import type { PlanFigures } from '#api/plan/plan-job.ts';
import type { ProblemCode } from '#api/problems.ts';
import {
  bytesOf,
  type Database,
  numberOf,
  numberOrNull,
  type Row,
  type Statement,
  textOf,
  textOrNull,
} from './database.ts';

type SiteFault = { readonly code: ProblemCode; readonly detail: string };

/** A site of a portfolio: one that is kept, by its id, or what was sent. */
export type PortfolioSite = {
  readonly number: number;
  readonly siteId: string | null;
  /** UTF-8 JSON. */
  readonly body: Uint8Array | null;
  /** Why what was sent could not be kept. */
  readonly fault: SiteFault | null;
  /** How often its planning was begun in a process that had ended before. */
  readonly attempts: number;
};

/** What a portfolio is planned by: rule sets by the name they are told by; null = what each site says. */
export type PortfolioOption = { readonly name: string; readonly rules: unknown };

export type PortfolioState = {
  readonly options: readonly PortfolioOption[];
  /** Plans to be made, one for each site and rule set; null while the sites are still gathered. */
  readonly total: number | null;
  readonly done: number;
  readonly refused: number;
};

/** How one site came out by one rule set. */
export type PortfolioRow = {
  readonly number: number;
  readonly option: number;
  readonly siteId: string | null;
  readonly name: string | null;
  /** SHA-256 of everything that the plan was made from. */
  readonly inputHash: string;
  /** Where it is, longitude and latitude. */
  readonly at: readonly [number, number] | null;
  readonly figures: PlanFigures | null;
  /** Code of the problem and its text, where there is no plan. */
  readonly code: string | null;
  readonly problem: string | null;
};
export type NewRow = PortfolioRow & { readonly plan: Uint8Array | null };

const ROW = 'number, option_number, site_id, name, input_hash, lon, lat, figures, code, problem';
const BATCH = 500;

export type PortfolioStore = ReturnType<typeof portfolioStore>;

/** Portfolios: the sites of a job, and one row for each that is done. Everything goes with its job. */
export function portfolioStore(database: Database) {
  const one = (sql: string, values: readonly (string | number)[]) => database.read(sql, values).then(([row]) => row);
  return {
    async state(jobId: string): Promise<PortfolioState | undefined> {
      const row = await one('select options, total, done, refused from portfolio where job_id = ?', [jobId]);
      if (row === undefined) return undefined;
      return {
        options: JSON.parse(textOf(row, 'options')),
        total: numberOrNull(row, 'total'),
        done: numberOf(row, 'done'),
        refused: numberOf(row, 'refused'),
      };
    },
    async sites(jobId: string, from: number, before: number): Promise<PortfolioSite[]> {
      const sql = `select number, site_id, body, fault, attempts from portfolio_site
        where job_id = ? and number >= ? and number < ? order by number`;
      return (await database.read(sql, [jobId, from, before])).map((row) => ({
        number: numberOf(row, 'number'),
        siteId: textOrNull(row, 'site_id'),
        body: row.body === null ? null : new Uint8Array(gunzipSync(bytesOf(row, 'body'))),
        fault: row.fault === null ? null : JSON.parse(textOf(row, 'fault')),
        attempts: numberOf(row, 'attempts'),
      }));
    },
    async rows(
      jobId: string,
      after: { readonly number: number; readonly option: number },
      limit: number,
    ): Promise<PortfolioRow[]> {
      const sql = `select ${ROW} from portfolio_row where job_id = ? and (number > ? or (number = ? and option_number > ?))
        order by number, option_number limit ?`;
      return (await database.read(sql, [jobId, after.number, after.number, after.option, limit])).map(rowOf);
    },
    async *scan(jobId: string): AsyncGenerator<PortfolioRow, void, undefined> {
      let after = { number: -1, option: 0 };
      for (;;) {
        const batch = await this.rows(jobId, after, BATCH);
        yield* batch;
        const last = batch.at(-1);
        if (last === undefined || batch.length < BATCH) return;
        after = last;
      }
    },
    async done(jobId: string, from: number, before: number): Promise<ReadonlySet<string>> {
      const sql = 'select number, option_number from portfolio_row where job_id = ? and number >= ? and number < ?';
      const rows = await database.read(sql, [jobId, from, before]);
      return new Set(rows.map((row) => rowKey(numberOf(row, 'number'), numberOf(row, 'option_number'))));
    },
    /** JSON of a plan; undefined where there is none. */
    async plan(jobId: string, number: number, option: number): Promise<Uint8Array<ArrayBuffer> | undefined> {
      const sql = 'select plan_body from portfolio_row where job_id = ? and number = ? and option_number = ?';
      const row = await one(sql, [jobId, number, option]);
      return row === undefined || row.plan_body === null
        ? undefined
        : new Uint8Array(gunzipSync(bytesOf(row, 'plan_body')));
    },
  };
}

export function rowKey(number: number, option: number): string {
  return `${number}/${option}`;
}

/** Begins to gather sites anew. */
export function beginPortfolio(jobId: string, options: readonly PortfolioOption[]): Statement[] {
  return [
    { sql: 'delete from portfolio_site where job_id = ?', values: [jobId] },
    { sql: 'delete from portfolio where job_id = ?', values: [jobId] },
    {
      sql: 'insert into portfolio (job_id, options, total, done, refused) values (?, ?, null, 0, 0)',
      values: [jobId, JSON.stringify(options)],
    },
  ];
}

export type GatheredSite = { readonly siteId: string } | { readonly body: Uint8Array } | { readonly fault: SiteFault };

export function addSite(jobId: string, number: number, site: GatheredSite): Statement {
  return {
    sql: 'insert into portfolio_site (job_id, number, site_id, body, fault, attempts) values (?, ?, ?, ?, ?, 0)',
    values: [
      ...[jobId, number, 'siteId' in site ? site.siteId : null],
      'body' in site ? new Uint8Array(gzipSync(site.body, { level: 1 })) : null,
      'fault' in site ? JSON.stringify(site.fault) : null,
    ],
  };
}

export function totalStatement(jobId: string, total: number): Statement {
  return { sql: 'update portfolio set total = ? where job_id = ?', values: [total, jobId] };
}

export function attemptStatement(jobId: string, number: number): Statement {
  const sql = 'update portfolio_site set attempts = attempts + 1 where job_id = ? and number = ? returning number';
  return { sql, values: [jobId, number], mustTouch: true };
}

/** Writes how sites came out, each once: a second row for one fails the whole list. */
export function rowStatements(jobId: string, rows: readonly NewRow[]): Statement[] {
  return [
    ...rows.map((row) => ({
      sql: `insert into portfolio_row (job_id, ${ROW}, plan_body) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
      values: [
        ...[
          jobId,
          row.number,
          row.option,
          row.siteId,
          row.name,
          row.inputHash,
          row.at?.[0] ?? null,
          row.at?.[1] ?? null,
        ],
        ...[row.figures === null ? null : JSON.stringify(row.figures), row.code, row.problem],
        row.plan === null ? null : new Uint8Array(gzipSync(row.plan, { level: 1 })),
      ],
    })),
    {
      sql: 'update portfolio set done = done + ?, refused = refused + ? where job_id = ?',
      values: [rows.length, rows.filter(({ code }) => code !== null).length, jobId],
    },
  ];
}

function rowOf(row: Row): PortfolioRow {
  const [lon, lat] = [numberOrNull(row, 'lon'), numberOrNull(row, 'lat')];
  const figures = textOrNull(row, 'figures');
  return {
    number: numberOf(row, 'number'),
    option: numberOf(row, 'option_number'),
    siteId: textOrNull(row, 'site_id'),
    name: textOrNull(row, 'name'),
    inputHash: textOf(row, 'input_hash'),
    at: lon === null || lat === null ? null : [lon, lat],
    figures: figures === null ? null : JSON.parse(figures),
    code: textOrNull(row, 'code'),
    problem: textOrNull(row, 'problem'),
  };
}
