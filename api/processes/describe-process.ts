import { z } from '#api/contract/zod.ts';
import { type Link, REL } from '#api/ogc/links.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import type { Input, Output, Process } from './process.ts';

type Schema = Readonly<Record<string, unknown>>;

/** Keywords of the schema objects that OGC 18-062r2 knows (OpenAPI 3.0). */
const KEYWORDS = new Set(
  `title multipleOf maximum exclusiveMaximum minimum exclusiveMinimum maxLength minLength pattern maxItems minItems uniqueItems
  maxProperties minProperties required enum type not allOf oneOf anyOf items properties additionalProperties description format default
  nullable readOnly writeOnly deprecated contentMediaType contentEncoding contentSchema`.split(/\s+/),
);

export function summaryOf({ id, version, title, description, keywords, isJobOnly }: Process, links: readonly Link[]) {
  return {
    id,
    version,
    title,
    description,
    keywords,
    jobControlOptions: [...(isJobOnly ? [] : ['sync-execute']), 'async-execute', 'dismiss'],
    outputTransmission: ['value'],
    links,
  };
}

/** The inputs and outputs of a process with the schemas of the contract. */
export function describeProcess({ inputs, outputs }: Process) {
  return {
    inputs: mapped(inputs, ({ title, description, schema, mediaTypes, minOccurs, maxOccurs }: Input) => ({
      title,
      description,
      minOccurs,
      maxOccurs,
      schema: schemaOf(schema, 'input', mediaTypes[0]),
    })),
    outputs: mapped(outputs, ({ title, description, schema, mediaType }: Output) => ({
      title,
      description,
      schema: schemaOf(schema, 'output', mediaType),
    })),
  };
}

function mapped<From, To>(record: Readonly<Record<string, From>>, to: (value: From) => To): Record<string, To> {
  return Object.fromEntries(Object.entries(record).map(([id, value]) => [id, to(value)]));
}

function schemaOf(schema: z.ZodType, io: 'input' | 'output', mediaType: string): Schema {
  const reduced = reducedSchema(z.toJSONSchema(schema, { target: 'openapi-3.0', io, reused: 'inline' }));
  return { ...reduced, ...(mediaType !== 'application/json' && { contentMediaType: mediaType }) };
}

/** A schema in the keywords of OpenAPI 3.0. What refers to itself (geometries in geometries) ends there in a schema that takes every value. */
function reducedSchema(schema: object): Record<string, unknown> {
  const entries = Object.entries(schema).filter(([keyword]) => KEYWORDS.has(keyword));
  return Object.fromEntries(
    entries.map(([keyword, value]) => {
      if (keyword === 'properties' && isObject(value)) return [keyword, mapped({ ...value }, reducedValue)];
      if (Array.isArray(value) && /Of$/.test(keyword)) return [keyword, value.map(reducedValue)];
      return [
        keyword,
        keyword === 'enum' || keyword === 'required' || keyword === 'default' ? value : reducedValue(value),
      ];
    }),
  );
}

function reducedValue(value: unknown): unknown {
  return isObject(value) ? reducedSchema(value) : value;
}

export function processLinks(root: string, { id, title }: Process): Link[] {
  return [
    { rel: `${REL}/execute`, href: `${root}/processes/${id}/execution`, title: `run: ${title}` },
    { rel: `${REL}/job-list`, href: `${root}/jobs?processID=${id}`, type: 'application/json', title: 'its jobs' },
  ];
}
