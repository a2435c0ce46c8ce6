export type ReadJson = { readonly json: unknown } | { readonly detail: string };

const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const OPEN_LIST = 0x5b;
const CLOSE_LIST = 0x5d;
const OPEN_OBJECT = 0x7b;
const CLOSE_OBJECT = 0x7d;

/** UTF-8 bytes -> JSON, nested at most `nestingMax` deep (so that what walks it later needs no bound of its own). */
export function readJson(bytes: Uint8Array, nestingMax: number): ReadJson {
  if (bytes.length === 0) return { detail: 'the body is empty: send a GeoJSON FeatureCollection' };
  const tooDeepAt = findTooDeep(bytes, nestingMax);
  if (tooDeepAt !== undefined) {
    return {
      detail: `lists and objects are nested more than ${nestingMax} deep at byte ${tooDeepAt}: no site needs that`,
    };
  }
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return { detail: 'the body is not UTF-8 text (RFC 8259 section 8.1)' };
  }
  try {
    return { json: JSON.parse(text) };
  } catch (error) {
    const fault = error instanceof Error ? error.message : 'not JSON';
    return { detail: `${fault}: the body must be one JSON document (RFC 8259)` };
  }
}

/** Where brackets outside of strings are first nested deeper than allowed. */
function findTooDeep(bytes: Uint8Array, nestingMax: number): number | undefined {
  let depth = 0;
  let inString = false;
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i];
    if (inString) {
      if (byte === BACKSLASH) i++;
      else if (byte === QUOTE) inString = false;
    } else if (byte === QUOTE) inString = true;
    else if (byte === OPEN_LIST || byte === OPEN_OBJECT) {
      depth++;
      if (depth > nestingMax) return i;
    } else if (byte === CLOSE_LIST || byte === CLOSE_OBJECT) depth--;
  }
  return undefined;
}
