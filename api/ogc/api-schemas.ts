import { JOB_STATES } from '#api/queue/queue.ts';
import type { Schema } from './openapi.ts';
import { ref } from './openapi.ts';

const list = (items: Schema): Schema => ({ type: 'array', items });
const text: Schema = { type: 'string' };
const number: Schema = { type: 'number' };
const object = (required: readonly string[], properties: Schema): Schema => ({
  type: 'object',
  ...(required.length > 0 && { required }),
  properties,
});
const links = list(ref('link'));
const position = { type: 'array', items: number, minItems: 2 };
const coordinates: Schema = { type: 'array', items: {} };

const geometry = (type: string, schema: Schema) =>
  object(['type', 'coordinates'], { type: { type: 'string', enum: [type] }, coordinates: schema });

/** The schemas of the API document that belong to no collection. */
export const API_SCHEMAS: Readonly<Record<string, Schema>> = {
  link: object(['rel', 'href'], { rel: text, href: text, type: text, title: text, templated: { type: 'boolean' } }),
  problem: object(['type', 'title', 'status', 'detail', 'requestId'], {
    type: text,
    title: text,
    status: { type: 'integer' },
    detail: text,
    requestId: text,
    errors: list(object(['pointer', 'detail'], { pointer: text, detail: text })),
    more: { type: 'integer' },
  }),
  landingPage: object(['links', 'title'], { title: text, description: text, links }),
  confClasses: object(['conformsTo'], { conformsTo: list(text) }),
  extent: object([], {
    spatial: object(['bbox'], { bbox: list({ type: 'array', items: number, minItems: 4, maxItems: 4 }), crs: text }),
    temporal: object(['interval'], {
      interval: list({ type: 'array', items: { type: 'string', nullable: true }, minItems: 2, maxItems: 2 }),
      trs: text,
    }),
  }),
  collection: object(['id', 'links', 'itemType', 'crs', 'storageCrs'], {
    id: text,
    title: text,
    description: text,
    itemType: text,
    extent: ref('extent'),
    crs: list(text),
    storageCrs: text,
    links,
  }),
  collections: object(['links', 'collections'], { links, collections: list(ref('collection')) }),
  jsonSchema: object(['$schema', '$id', 'type', 'properties'], {
    $schema: text,
    $id: text,
    type: text,
    title: text,
    description: text,
    properties: { type: 'object' },
  }),
  pointGeometry: { oneOf: [geometry('Point', position), geometry('MultiPoint', list(position))] },
  lineGeometry: { oneOf: [geometry('LineString', list(position)), geometry('MultiLineString', list(list(position)))] },
  polygonGeometry: {
    oneOf: [geometry('Polygon', list(list(position))), geometry('MultiPolygon', list(list(list(position))))],
  },
  feature: object(['type', 'geometry', 'properties'], {
    type: { type: 'string', enum: ['Feature'] },
    id: { oneOf: [text, number] },
    geometry: { type: 'object', nullable: true, required: ['type'], properties: { type: text, coordinates } },
    properties: { type: 'object', nullable: true },
  }),
  site: object(['type', 'features'], {
    type: { type: 'string', enum: ['FeatureCollection'] },
    id: { oneOf: [text, number] },
    name: text,
    rules: {},
    features: list(ref('feature')),
  }),
  faultQuestion: object(['plan', 'measurements'], {
    plan: object(['type', 'features'], {
      type: { type: 'string', enum: ['FeatureCollection'] },
      features: list({ type: 'object' }),
    }),
    signalUnit: { type: 'integer', minimum: 1 },
    measurements: list({ type: 'object' }),
    accuracy: object(['readingPct', 'ohm'], { readingPct: number, ohm: number }),
    temperatureC: number,
    spliceOhm: number,
  }),
  decimal: { oneOf: [number, text], description: 'a JSON number, or text where more than 15 digits count' },
  priceBook: object([], {
    validFrom: { type: 'string', format: 'date' },
    validUntil: { type: 'string', format: 'date' },
    currency: text,
    taxPct: ref('decimal'),
    taxes: { type: 'object', additionalProperties: ref('decimal') },
    pricesIncludeTax: { type: 'boolean' },
    rounding: object([], {
      at: { type: 'string', enum: ['line', 'total'] },
      half: { type: 'string', enum: ['up', 'even'] },
      cashStep: ref('decimal'),
    }),
    discountPct: ref('decimal'),
    marginPct: ref('decimal'),
    items: {
      type: 'object',
      additionalProperties: {
        oneOf: [
          number,
          text,
          object([], {
            price: ref('decimal'),
            what: text,
            tax: text,
            discountPct: ref('decimal'),
            marginPct: ref('decimal'),
          }),
        ],
      },
    },
    spools: list(object(['lengthM'], { lengthM: number, price: ref('decimal') })),
    hours: { type: 'object', additionalProperties: ref('decimal') },
  }),
  plan: object(['type', 'features', 'summary', 'findings', 'audit'], {
    type: { type: 'string', enum: ['FeatureCollection'] },
    id: {},
    name: { type: 'string', nullable: true },
    features: list(ref('feature')),
    summary: { type: 'object' },
    takeoff: { type: 'object' },
    schedule: list({ type: 'object' }),
    findings: list({ type: 'object' }),
    audit: object(['passed', 'checks'], { passed: { type: 'boolean' }, checks: list({ type: 'object' }) }),
    rules: { type: 'object' },
    cautions: list(text),
  }),
  statusInfo: object(['jobID', 'status', 'type', 'links'], {
    jobID: text,
    processID: text,
    type: { type: 'string', enum: ['process'] },
    status: { type: 'string', enum: [...JOB_STATES] },
    message: text,
    progress: { type: 'integer', minimum: 0, maximum: 100 },
    created: { type: 'string', format: 'date-time' },
    started: { type: 'string', format: 'date-time' },
    finished: { type: 'string', format: 'date-time' },
    updated: { type: 'string', format: 'date-time' },
    links,
  }),
};
