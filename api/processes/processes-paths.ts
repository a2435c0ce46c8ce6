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
import { JOB_STATES } from '#api/queue/queue.ts';
import { JOBS_LIMIT } from './read-jobs-query.ts';

const COMMON = [parameterRef('f'), parameterRef('share')];
const PROCESS_ID = pathParameter('processId', 'id of the process');
const JOB_ID = pathParameter('jobId', 'id of the job');
const JSON_TYPE = 'application/json';
const text: Schema = { type: 'string' };
const list = (items: Schema): Schema => ({ type: 'array', items });
const links = list(ref('link'));
const seconds: Schema = { type: 'integer', minimum: 0 };
const tag = 'processes';

const summary: Schema = {
  type: 'object',
  required: ['id', 'version', 'jobControlOptions', 'outputTransmission', 'links'],
  properties: {
    id: text,
    version: text,
    title: text,
    description: text,
    keywords: list(text),
    jobControlOptions: list({ type: 'string', enum: ['sync-execute', 'async-execute', 'dismiss'] }),
    outputTransmission: list({ type: 'string', enum: ['value'] }),
    links,
  },
};
const described = (more: Schema): Schema => ({
  type: 'object',
  additionalProperties: {
    type: 'object',
    required: ['schema'],
    properties: { title: text, description: text, schema: { type: 'object' }, ...more },
  },
});

/** Schemas of processes and jobs, for the components of the API document. */
export const PROCESS_SCHEMAS: Readonly<Record<string, Schema>> = {
  processList: {
    type: 'object',
    required: ['processes', 'links'],
    properties: { processes: list(ref('processSummary')), links },
  },
  processSummary: summary,
  process: {
    allOf: [
      ref('processSummary'),
      {
        type: 'object',
        required: ['inputs', 'outputs'],
        properties: {
          inputs: described({ minOccurs: { type: 'integer' }, maxOccurs: { type: 'integer' } }),
          outputs: described({}),
        },
      },
    ],
  },
  execute: {
    type: 'object',
    properties: {
      inputs: { type: 'object', description: 'values by input id: bare, or {"value": ..., "mediaType": ...}' },
      outputs: {
        type: 'object',
        additionalProperties: {
          type: 'object',
          properties: {
            transmissionMode: { type: 'string', enum: ['value'], default: 'value' },
            format: { type: 'object', properties: { mediaType: text } },
          },
        },
      },
      response: { type: 'string', enum: ['raw', 'document'], default: 'raw' },
    },
  },
  jobList: { type: 'object', required: ['jobs', 'links'], properties: { jobs: list(ref('statusInfo')), links } },
};

/** Outputs may be of any kind of JSON. */
const results = {
  description: 'the outputs: one bare, several in parts, or as one document',
  types: {
    [JSON_TYPE]: {},
    'application/geo+json': ref('plan'),
    'text/plain': text,
    'multipart/related': text,
    'text/html': text,
  },
};

export const PROCESS_PATHS: Paths = {
  '/processes': {
    get: operation({
      id: 'processes',
      summary: 'What can be run',
      tag,
      parameters: [
        ...COMMON,
        queryParameter('limit', 'most processes of one page', { type: 'integer', minimum: 1 }),
        parameterRef('after'),
      ],
      answers: documentAnswer('the processes', ref('processList')),
    }),
  },
  '/processes/{processId}': {
    get: operation({
      id: 'process',
      summary: 'A process with its inputs and outputs',
      tag,
      parameters: [PROCESS_ID, ...COMMON],
      answers: documentAnswer('the description', ref('process')),
    }),
  },
  '/processes/{processId}/execution': {
    post: operation({
      id: 'execute',
      summary: 'Run a process: at once, or as a job',
      tag,
      parameters: [
        PROCESS_ID,
        parameterRef('f'),
        queryParameter(
          'rules',
          'of a sequence of sites: names of rule sets, every site is planned by each',
          list(text),
        ),
        { name: 'Prefer', in: 'header', description: 'respond-async: as a job', schema: text },
      ],
      body: {
        description: 'inputs, and which outputs in which form; or, for plan-portfolio, its sites one after the other',
        types: { [JSON_TYPE]: ref('execute'), 'application/geo+json-seq': text, 'application/x-ndjson': text },
      },
      answers: {
        '200': results,
        '201': {
          description: 'a job was made',
          types: { [JSON_TYPE]: ref('statusInfo') },
          headers: {
            Location: { description: 'address of the job', schema: text },
            'Preference-Applied': { description: 'respond-async', schema: text },
          },
        },
      },
    }),
  },
  '/jobs': {
    get: operation({
      id: 'jobs',
      summary: 'Jobs, the latest first',
      tag,
      parameters: [
        ...COMMON,
        queryParameter('processID', 'only jobs of these processes', list(text)),
        queryParameter('status', 'only jobs in these states', list({ type: 'string', enum: [...JOB_STATES] })),
        queryParameter('type', 'only jobs of this type', list({ type: 'string', enum: ['process'] })),
        queryParameter('datetime', 'only jobs made at this instant or in this interval', text),
        queryParameter('minDuration', 'only jobs that ran at least so long, seconds', seconds),
        queryParameter('maxDuration', 'only jobs that ran at most so long, seconds', seconds),
        queryParameter('limit', 'most jobs of one page', { type: 'integer', ...JOBS_LIMIT }),
        queryParameter('after', 'where the page before ended: from its link "next"', text),
      ],
      answers: documentAnswer('the jobs', ref('jobList')),
    }),
  },
  '/jobs/{jobId}': {
    get: operation({
      id: 'job',
      summary: 'How far a job is',
      tag,
      parameters: [JOB_ID, ...COMMON],
      answers: documentAnswer('the job', ref('statusInfo')),
    }),
    delete: operation({
      id: 'dismiss',
      summary: 'Stop a job, or forget one that has ended',
      tag,
      parameters: [JOB_ID],
      answers: { '200': { description: 'the job as it was left', types: { [JSON_TYPE]: ref('statusInfo') } } },
    }),
  },
  '/jobs/{jobId}/results': {
    get: operation({
      id: 'results',
      summary: 'What a job gave',
      tag,
      parameters: [JOB_ID, ...COMMON],
      answers: { '200': results },
    }),
  },
};
