import { Ajv, type ValidateFunction } from 'ajv';
import addFormats from 'ajv-formats';
import { isObject } from '#geo-core/model/is-object.ts';

/** Checks an answer against the API document; throws what does not fit. */
type Truth = (method: string, url: string, answer: Response) => Promise<void>;

const ROOT = '/ogc';
/** Methods that an API document does not list. */
const UNLISTED = new Set(['HEAD', 'OPTIONS']);

/**
 * Holds every answer of the OGC side against the OpenAPI document: is there such a path and method, such a status, such a media type,
 * and does JSON fit its schema?
 */
export function apiTruth(document: object): Truth {
  const ajv = new Ajv({ strict: false, allErrors: false });
  addFormats.default(ajv);
  ajv.addSchema({ ...document, $id: 'api' });
  const compiled = new Map<string, ValidateFunction>();
  const paths = memberOf(document, 'paths');

  function templateOf(path: string): string | undefined {
    const parts = path.split('/');
    const fits = Object.keys(paths).filter((template) => {
      const wanted = template.split('/');
      return wanted.length === parts.length && wanted.every((part, i) => part.startsWith('{') || part === parts[i]);
    });
    return fits.toSorted((a, b) => a.split('{').length - b.split('{').length)[0];
  }

  return async (method, url, answer) => {
    const { pathname } = new URL(url);
    if (!pathname.startsWith(ROOT) || pathname === `${ROOT}/page.css` || UNLISTED.has(method)) return;
    const path = pathname.slice(ROOT.length).replace(/\/+$/, '') || '/';
    const template = templateOf(path);
    const where = `${method} ${pathname} answered ${answer.status}`;
    if (template === undefined) {
      if (answer.status === 404) return;
      throw new Error(`${where}, but the API document has no such path`);
    }
    const item = memberOf(paths, template);
    if (!(method.toLowerCase() in item)) {
      if (answer.status === 405) return;
      throw new Error(`${where}, but the API document has no such method`);
    }
    const responses = memberOf(memberOf(item, method.toLowerCase()), 'responses');
    const isNamed = String(answer.status) in responses;
    if (!isNamed && answer.status < 400) throw new Error(`${where}, which the API document does not say`);
    const response = isNamed ? memberOf(responses, String(answer.status)) : problemOf(document);
    const mediaType = answer.headers.get('content-type')?.replace(/; (charset|header|boundary)=.*$/, '');
    if (mediaType === undefined) return;
    const forms = memberOf(response, 'content');
    const form = forms[mediaType] ?? forms['*/*'];
    if (form === undefined) throw new Error(`${where} as ${mediaType}, which the API document does not say`);
    if (!mediaType.includes('json') || mediaType.endsWith('-seq')) return;
    const pointer = isNamed
      ? `paths/${escaped(template)}/${method.toLowerCase()}/responses/${answer.status}/content/${escaped(mediaType)}/schema`
      : `components/responses/Problem/content/${escaped(mediaType)}/schema`;
    const known = compiled.get(pointer);
    const validate = known ?? ajv.compile({ $ref: `api#/${pointer}` });
    compiled.set(pointer, validate);
    if (!validate(await answer.json())) throw new Error(`${where}: ${ajv.errorsText(validate.errors)}`);
  };
}

function memberOf(parent: object, name: string): Record<string, unknown> {
  const value: unknown = Object.entries(parent).find(([key]) => key === name)?.[1];
  if (isObject(value)) return { ...value };
  throw new Error(`the API document has no "${name}" where it should`);
}

function problemOf(document: object): object {
  return memberOf(memberOf(memberOf(document, 'components'), 'responses'), 'Problem');
}

/** RFC 6901 inside the fragment of a URI. */
function escaped(token: string): string {
  return encodeURIComponent(token.replaceAll('~', '~0').replaceAll('/', '~1'));
}
