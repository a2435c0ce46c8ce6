import { operation, type Paths, pathParameter, type Schema } from '#api/ogc/openapi.ts';
import { SCOPES } from '#api/store/tenants.ts';

const text: Schema = { type: 'string' };
const timeOrNull: Schema = { type: 'string', nullable: true, format: 'date-time' };
const scopes: Schema = { type: 'array', items: { type: 'string', enum: SCOPES }, minItems: 1 };
const object = (required: readonly string[], properties: Schema): Schema => ({
  type: 'object',
  ...(required.length > 0 && { required }),
  properties,
});
const key = { id: text, label: text, scopes, created: text, expires: timeOrNull, revoked: timeOrNull };
const share = { id: text, site: text, created: text, expires: timeOrNull, revoked: timeOrNull };
const deed = object(['at', 'actor', 'method', 'path', 'status', 'requestId'], {
  at: text,
  actor: text,
  method: text,
  path: text,
  status: { type: 'integer' },
  requestId: text,
});
const SITE = pathParameter('siteId', 'id of the site');
const list = (name: string, items: Schema) => object([name], { [name]: { type: 'array', items } });
const json = (description: string, schema: Schema) => ({ description, types: { 'application/json': schema } });

/** Keys, shares and the audit log. */
export const ACCESS_PATHS: Paths = {
  '/keys': {
    get: operation({
      id: 'keys.list',
      summary: 'All keys of the firm, without their secrets',
      tag: 'access',
      answers: { '200': json('the keys', list('keys', object(['id'], key))) },
    }),
    post: operation({
      id: 'keys.add',
      summary: 'A new key; its secret is told this once',
      tag: 'access',
      body: {
        description: 'what it may do',
        types: { 'application/json': object(['label', 'scopes'], { label: text, scopes, expires: timeOrNull }) },
      },
      answers: { '201': json('the key', object(['id', 'secret'], { ...key, secret: text })) },
    }),
  },
  '/keys/{keyId}': {
    delete: operation({
      id: 'keys.revoke',
      summary: 'Revoke a key',
      tag: 'access',
      parameters: [pathParameter('keyId', 'id of the key')],
      answers: { '204': { description: 'revoked' } },
    }),
  },
  '/sites/{siteId}/shares': {
    get: operation({
      id: 'shares.list',
      summary: 'All shares of a site, without their secrets',
      tag: 'access',
      parameters: [SITE],
      answers: { '200': json('the shares', list('shares', object(['id'], share))) },
    }),
    post: operation({
      id: 'shares.add',
      summary: 'A link that shows this site and its plan, and nothing else, to whoever has it',
      tag: 'access',
      parameters: [SITE],
      body: { description: 'how long it opens', types: { 'application/json': object([], { expires: timeOrNull }) } },
      answers: {
        '201': json(
          'the share; its secret is told this once',
          object(['id', 'secret', 'url'], { ...share, secret: text, url: text }),
        ),
      },
    }),
  },
  '/sites/{siteId}/shares/{shareId}': {
    delete: operation({
      id: 'shares.revoke',
      summary: 'Revoke a share',
      tag: 'access',
      parameters: [SITE, pathParameter('shareId', 'id of the share')],
      answers: { '204': { description: 'revoked' } },
    }),
  },
  '/audit': {
    get: operation({
      id: 'audit',
      summary: 'Who wrote what, the latest first',
      tag: 'access',
      answers: { '200': json('the latest writes', list('deeds', deed)) },
    }),
  },
};
