/** Small words for writing OpenAPI 3.0 documents. */
export type Schema = Readonly<Record<string, unknown>>;
type PathItem = Readonly<Record<string, unknown>>;
export type Paths = Readonly<Record<string, PathItem>>;

export const ref = (name: string): Schema => ({ $ref: `#/components/schemas/${name}` });
export const parameterRef = (name: string): Schema => ({ $ref: `#/components/parameters/${name}` });

/** A parameter of the query, style and explode written out as OGC 17-069r4 does. */
export function queryParameter(name: string, description: string, schema: Schema): Schema {
  return { name, in: 'query', description, required: false, style: 'form', explode: false, schema };
}

export function pathParameter(name: string, description: string, schema: Schema = { type: 'string' }): Schema {
  return { name, in: 'path', description, required: true, schema };
}

export type Content = Readonly<Record<string, Schema>>;

export function content(types: Content): Schema {
  return Object.fromEntries(Object.entries(types).map(([mediaType, schema]) => [mediaType, { schema }]));
}

type Operation = {
  readonly id: string;
  readonly summary: string;
  readonly tag: string;
  readonly parameters?: readonly Schema[];
  readonly body?: { readonly description: string; readonly types: Content };
  /** Status -> what it says and in which forms. */
  readonly answers: Readonly<
    Record<string, { readonly description: string; readonly types?: Content; readonly headers?: Schema }>
  >;
};

/** An operation; whatever it does not name is answered by problem+json. */
export function operation({ id, summary, tag, parameters = [], body, answers }: Operation): Schema {
  const responses = Object.entries(answers).map(([status, { description, types, headers }]) => [
    status,
    { description, ...(headers !== undefined && { headers }), ...(types !== undefined && { content: content(types) }) },
  ]);
  return {
    operationId: id,
    summary,
    tags: [tag],
    ...(parameters.length > 0 && { parameters }),
    ...(body !== undefined && {
      requestBody: { description: body.description, required: true, content: content(body.types) },
    }),
    responses: { ...Object.fromEntries(responses), default: { $ref: '#/components/responses/Problem' } },
  };
}

const HTML: Schema = { type: 'string' };

/** A document in JSON and as a page. */
export function documentAnswer(description: string, schema: Schema, mediaType = 'application/json') {
  return { '200': { description, types: { [mediaType]: schema, 'text/html': HTML } } };
}
