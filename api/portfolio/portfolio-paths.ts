import {
  documentAnswer,
  operation,
  type Paths,
  parameterRef,
  pathParameter,
  queryParameter,
  ref,
  type Schema,
} from '#api/ogc/openapi.ts';
import { ROWS_LIMIT } from './portfolio-table.ts';

const COMMON = [parameterRef('f'), parameterRef('share')];
const JOB_ID = pathParameter('jobId', 'id of the job');
const text: Schema = { type: 'string' };
const list = (items: Schema): Schema => ({ type: 'array', items });
const number: Schema = { type: 'number' };
const whole: Schema = { type: 'integer', minimum: 0 };
const counted = list({ type: 'object', required: ['code', 'sites'], properties: { code: text, sites: whole } });
const tag = 'processes';

export const PORTFOLIO_SCHEMAS: Readonly<Record<string, Schema>> = {
  portfolioRows: {
    type: 'object',
    required: ['type', 'features', 'links'],
    properties: {
      type: { type: 'string', enum: ['FeatureCollection'] },
      features: list({
        type: 'object',
        required: ['type', 'id', 'properties', 'geometry'],
        properties: {
          type: { type: 'string', enum: ['Feature'] },
          id: text,
          properties: {
            type: 'object',
            required: ['number', 'rules', 'state'],
            properties: { number: whole, rules: text, state: { type: 'string', enum: ['planned', 'refused'] } },
          },
          geometry: { type: 'object', nullable: true },
        },
      }),
      numberReturned: whole,
      links: list(ref('link')),
    },
  },
  portfolioSummary: {
    type: 'object',
    required: ['plans', 'done', 'options'],
    properties: {
      plans: whole,
      done: whole,
      options: list({
        type: 'object',
        required: [
          ...['rules', 'planned', 'refused', 'fit', 'machines', 'againstMachine', 'totals', 'price', 'spreads'],
          ...['sampled', 'refusals', 'stops'],
        ],
        properties: {
          rules: text,
          planned: whole,
          refused: whole,
          fit: whole,
          machines: { type: 'object', additionalProperties: whole },
          againstMachine: counted,
          totals: { type: 'object', additionalProperties: number },
          price: list({
            type: 'object',
            required: ['currency', 'total'],
            properties: { currency: text, total: number },
          }),
          spreads: { type: 'object', additionalProperties: { type: 'object', additionalProperties: number } },
          sampled: whole,
          refusals: counted,
          stops: counted,
        },
      }),
    },
  },
};

const rows = documentAnswer('the sites that are done, in order', ref('portfolioRows'), 'application/geo+json');

export const PORTFOLIO_PATHS: Paths = {
  '/jobs/{jobId}/sites': {
    get: operation({
      id: 'portfolioSites',
      summary: 'The table of a portfolio, as far as it is done: a row a site and rule set',
      tag,
      parameters: [
        JOB_ID,
        ...COMMON,
        queryParameter('limit', 'most rows of one page of GeoJSON', { type: 'integer', ...ROWS_LIMIT }),
        queryParameter('after', 'only rows after this one: where the page before ended', text),
      ],
      answers: {
        '200': {
          ...rows['200'],
          types: {
            ...rows['200'].types,
            'application/geo+json-seq': text,
            'text/csv': text,
            'application/flatgeobuf': { type: 'string', format: 'binary' },
          },
        },
      },
    }),
  },
  '/jobs/{jobId}/sites/{row}': {
    get: operation({
      id: 'portfolioPlan',
      summary: 'The plan of one site of a portfolio',
      tag,
      parameters: [
        JOB_ID,
        pathParameter('row', 'number of the site; with several rule sets 3.1 is the fourth site by the second set'),
        ...COMMON,
      ],
      answers: { '200': { description: 'the plan', types: { 'application/geo+json': ref('plan') } } },
    }),
  },
  '/jobs/{jobId}/summary': {
    get: operation({
      id: 'portfolioSummary',
      summary: 'What a portfolio adds up to, as far as it is done',
      tag,
      parameters: [JOB_ID, ...COMMON],
      answers: documentAnswer('totals, spreads and reasons', ref('portfolioSummary')),
    }),
  },
};
