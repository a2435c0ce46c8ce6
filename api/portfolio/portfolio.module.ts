import type { Module } from '#api/app.ts';
import { answerDocument } from '#api/ogc/answer.ts';
import { chosenOffer, type Exchange, HTML_OFFER, openExchange, ROOT_PATH } from '#api/ogc/exchange.ts';
import { addressOf } from '#api/ogc/links.ts';
import { table } from '#api/ogc/page.ts';
import { HttpProblem, PROBLEMS, type ProblemCode } from '#api/problems.ts';
import { visibleJob } from '#api/processes/jobs.module.ts';
import { wholeNumber } from '#api/processes/read-jobs-query.ts';
import type { PortfolioRow, PortfolioState } from '#api/store/portfolios.ts';
import { csvRow, ROWS_LIMIT, rowFeature, rowId, TABLE_HEAD, tableLayer } from './portfolio-table.ts';
import { sumUp } from './sum-up.ts';

const JOB = `${ROOT_PATH}/jobs/:jobId` as const;
/** A layer is written in memory. */
const LAYER_ROWS_MAX = 200_000;
const GEOJSON = { id: 'json', mediaType: 'application/geo+json', also: ['application/json'] };
const SEQUENCE = { id: 'jsonseq', mediaType: 'application/geo+json-seq' };
const CSV = { id: 'csv', mediaType: 'text/csv; charset=utf-8; header=present', also: ['text/csv'] };
const LAYER = { id: 'flatgeobuf', mediaType: 'application/flatgeobuf' };
const OFFERS = [GEOJSON, HTML_OFFER, SEQUENCE, CSV, LAYER];
const HEADERS = { vary: 'Accept, Authorization', 'cache-control': 'private, no-cache' };

/** What a portfolio's job has done so far: its table, each plan, and what they add up to. */
export const portfolioModule: Module = {
  name: 'portfolio',
  mount(app, deps) {
    app.get(`${JOB}/sites`, async (c) => {
      const exchange = await openExchange(c, deps, 'read', ['limit', 'after']);
      const { id, state } = await portfolioOf(exchange, c.req.param('jobId'));
      return answerTable(exchange, id, state);
    });
    app.get(`${JOB}/sites/:row`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const { id } = await portfolioOf(exchange, c.req.param('jobId'));
      return answerPlan(exchange, id, c.req.param('row'));
    });
    app.get(`${JOB}/summary`, async (c) => {
      const exchange = await openExchange(c, deps, 'read');
      const { id } = await portfolioOf(exchange, c.req.param('jobId'));
      const summary = await sumUp(exchange.house.store.portfolios, id);
      const rows = summary.options.map(({ rules, planned, fit, machines, refused, totals, price }) => [
        rules,
        ...[
          planned,
          fit,
          machines.fits,
          machines['fits-shared'],
          refused,
          totals.routeLengthM ?? 0,
          totals.spoolCount ?? 0,
        ].map(String),
        price.map(({ currency, total }) => `${total} ${currency}`).join(', '),
      ]);
      const html = table(
        [
          'rule set',
          'planned',
          'no stop',
          'one machine fits',
          'several share',
          'refused',
          'wire, m',
          'spools',
          'price',
        ],
        rows,
      );
      const title = `Portfolio: ${summary.done} of ${summary.plans} plans`;
      return answerDocument(exchange, { title, json: summary, html });
    });
  },
};

async function portfolioOf(
  exchange: Exchange,
  jobId: string,
): Promise<{ readonly id: string; readonly state: PortfolioState }> {
  const { id } = await visibleJob(exchange, jobId);
  const state = await exchange.house.store.portfolios.state(id);
  if (state !== undefined) return { id, state };
  throw new HttpProblem({ code: 'not-found', detail: `the job "${id}" has no sites, or has not gathered them yet` });
}

async function answerTable(exchange: Exchange, jobId: string, { options }: PortfolioState): Promise<Response> {
  const { portfolios } = exchange.house.store;
  const chosen = chosenOffer(exchange, OFFERS);
  const stream = (head: string, line: (row: PortfolioRow) => string) =>
    new Response(streamed(portfolios.scan(jobId), head, line), {
      headers: { ...HEADERS, 'content-type': chosen.mediaType },
    });
  const planAt = (row: PortfolioRow) => (row.figures === null ? undefined : `${exchange.here}/${rowId(row)}`);
  switch (chosen.id) {
    case 'csv':
      return stream(TABLE_HEAD, (row) => csvRow(row, options));
    case 'jsonseq':
      return stream('', (row) => `\u001e${JSON.stringify(rowFeature(row, options, undefined))}\n`);
    case 'flatgeobuf': {
      const rows = await portfolios.rows(jobId, { number: -1, option: 0 }, LAYER_ROWS_MAX + 1);
      if (rows.length > LAYER_ROWS_MAX) {
        throw new HttpProblem({
          code: 'too-large',
          detail: `a layer has at most ${LAYER_ROWS_MAX} rows: take f=jsonseq or f=csv`,
        });
      }
      const layer = Uint8Array.from(tableLayer(rows, options));
      return new Response(layer, { headers: { ...HEADERS, 'content-type': chosen.mediaType } });
    }
  }
  const limit = Math.min(
    wholeNumber(exchange.query, 'limit', ROWS_LIMIT.minimum) ?? ROWS_LIMIT.default,
    ROWS_LIMIT.maximum,
  );
  const after = exchange.query.get('after');
  const found = await portfolios.rows(
    jobId,
    after === undefined ? { number: -1, option: 0 } : readRowId(after),
    limit + 1,
  );
  const rows = found.slice(0, limit);
  const last = rows.at(-1);
  const isMore = found.length > limit && last !== undefined;
  return answerDocument(exchange, {
    title: 'Sites of the portfolio',
    mediaType: GEOJSON.mediaType,
    links: isMore
      ? [{ rel: 'next', href: addressOf(exchange, { after: rowId(last) }), type: GEOJSON.mediaType, title: 'more' }]
      : [],
    json: {
      type: 'FeatureCollection',
      features: rows.map((row) => rowFeature(row, options, planAt(row))),
      numberReturned: rows.length,
    },
    html: table(
      ['site', 'name', 'rule set', 'state', 'wire, m', 'price'],
      rows.map((row) => {
        const href = planAt(row);
        const summary = row.figures?.summary;
        return [
          href === undefined ? rowId(row) : { href, text: rowId(row) },
          row.name ?? row.siteId ?? '',
          options[row.option].name,
          row.problem ?? (row.figures?.stops.length === 0 ? 'planned' : 'planned, stopped'),
          summary === undefined ? '' : String(summary.routeLengthM),
          summary === undefined ? '' : `${summary.priceTotal} ${summary.currency}`,
        ];
      }),
    ),
  });
}

/** Rows as they are read from the store: nothing is held but a batch. */
function streamed(
  rows: AsyncGenerator<PortfolioRow, void, undefined>,
  head: string,
  line: (row: PortfolioRow) => string,
) {
  const utf8 = new TextEncoder();
  let isBegun = false;
  return new ReadableStream<Uint8Array>({
    async pull(controller) {
      if (!isBegun) {
        isBegun = true;
        if (head !== '') return controller.enqueue(utf8.encode(head));
      }
      const next = await rows.next();
      if (next.done === true) controller.close();
      else controller.enqueue(utf8.encode(line(next.value)));
    },
    async cancel() {
      await rows.return();
    },
  });
}

async function answerPlan({ house }: Exchange, jobId: string, text: string): Promise<Response> {
  const { number, option } = readRowId(text);
  const { portfolios } = house.store;
  const plan = await portfolios.plan(jobId, number, option);
  if (plan !== undefined) return new Response(plan, { headers: { ...HEADERS, 'content-type': GEOJSON.mediaType } });
  const [row] = await portfolios.rows(jobId, { number, option: option - 1 }, 1);
  if (row?.number !== number || row.option !== option || row.code === null) {
    throw new HttpProblem({ code: 'not-found', detail: `the site ${text.slice(0, 40)} of this portfolio is not done` });
  }
  const code = row.code;
  const isKnown = (known: string): known is ProblemCode => Object.hasOwn(PROBLEMS, known);
  throw new HttpProblem({ code: isKnown(code) ? code : 'invalid-site', detail: row.problem ?? '' });
}

function readRowId(text: string): { readonly number: number; readonly option: number } {
  const [, number, option = '0'] = /^(\d{1,9})(?:\.(\d{1,2}))?$/.exec(text) ?? [];
  if (number !== undefined) return { number: Number(number), option: Number(option) };
  throw new HttpProblem({ code: 'not-found', detail: `"${text.slice(0, 40)}" is the number of no site` });
}
