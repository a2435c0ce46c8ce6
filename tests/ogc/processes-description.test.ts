import { describe, expect, it } from 'vitest';
import { isObject } from '#geo-core/model/is-object.ts';
import { useKeptService } from '../support/kept-service.ts';

/** OGC 18-062r2, class ogc-process-description. */
const service = useKeptService();
const json = async (path: string) => (await service().request(`/ogc${path}`)).json();

/** Keywords and types of the closed schema object of the standard's `schema.yaml`, 1.0. */
const KEYWORDS = new Set([
  ...['title', 'multipleOf', 'maximum', 'exclusiveMaximum', 'minimum', 'exclusiveMinimum', 'maxLength', 'minLength'],
  ...['pattern', 'maxItems', 'minItems', 'uniqueItems', 'maxProperties', 'minProperties', 'required', 'enum', 'type'],
  ...['not', 'allOf', 'oneOf', 'anyOf', 'items', 'properties', 'additionalProperties', 'description', 'format'],
  ...['default', 'nullable', 'readOnly', 'writeOnly', 'example', 'deprecated', 'contentMediaType'],
  ...['contentEncoding', 'contentSchema'],
]);
const TYPES = new Set(['array', 'boolean', 'integer', 'number', 'object', 'string']);

/** What in a schema is not of the standard, with its place. */
function strangers(schema: unknown, place: string): string[] {
  if (!isObject(schema)) return [`${place} is no schema`];
  const { type, exclusiveMinimum, exclusiveMaximum } = schema;
  const own = [
    ...Object.keys(schema).filter((keyword) => !KEYWORDS.has(keyword)),
    ...(type === undefined || TYPES.has(String(type)) ? [] : [`type ${String(type)}`]),
    ...[exclusiveMinimum, exclusiveMaximum].filter((bound) => bound !== undefined && typeof bound !== 'boolean'),
  ].map((what) => `${place}: ${String(what)}`);
  const inner = Object.entries(schema).flatMap(([keyword, value]) => {
    if (keyword === 'properties' && isObject(value)) {
      return Object.entries(value).flatMap(([name, one]) => strangers(one, `${place}/${name}`));
    }
    if (Array.isArray(value) && keyword.endsWith('Of'))
      return value.flatMap((one, i) => strangers(one, `${place}/${i}`));
    if (keyword === 'items' || (keyword === 'additionalProperties' && isObject(value))) {
      return strangers(value, `${place}/${keyword}`);
    }
    return [];
  });
  return [...own, ...inner];
}

describe('descriptions', () => {
  it('/req/ogc-process-description/json-encoding, inputs-def, outputs-def, input-def: say every input and output with a schema', async () => {
    const { processes }: { processes: { id: string; links: { rel: string; href: string }[] }[] } =
      await json('/processes');
    expect(processes.map(({ id }) => id)).toEqual([
      'plan-site',
      'compare-options',
      'fit-machine',
      'split-lawn',
      'plan-portfolio',
    ]);
    for (const { id, links } of processes) {
      const process = await (await service().request(links.find(({ rel }) => rel === 'self')?.href ?? '')).json();
      expect(process).toMatchObject({ id, version: '1.0.0', outputTransmission: ['value'] });
      const isLong = id === 'plan-portfolio';
      expect(process.jobControlOptions).toEqual([...(isLong ? [] : ['sync-execute']), 'async-execute', 'dismiss']);
      const described = Object.entries<{ schema: object }>({ ...process.inputs, ...process.outputs });
      expect(described.length).toBeGreaterThan(3);
      for (const [name, { schema }] of described) expect(strangers(schema, `${id}/${name}`)).toEqual([]);
    }
  });

  it('/req/ogc-process-description/input-mixed-type: hold the schemas of the contract', async () => {
    const { inputs, outputs } = await json('/processes/plan-site');
    const [site, siteId] = inputs.site.schema.anyOf;
    expect(site.properties.features.items.properties.properties.properties.kind.description).toContain('lawn');
    expect(siteId.type).toBe('string');
    expect(outputs.plan.schema.properties.summary.required).toContain('routeLengthM');
    expect(outputs.plan.schema.contentMediaType).toBe('application/geo+json');
    expect(inputs.rules).toMatchObject({ minOccurs: 0, maxOccurs: 1 });
    expect((await json('/processes/compare-options')).inputs.options).toMatchObject({ minOccurs: 2, maxOccurs: 12 });
  });

  it('leave the echo out unless it is switched on', async () => {
    expect((await service().request('/ogc/processes/echo')).status).toBe(404);
  });
});
