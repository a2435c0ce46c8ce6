import { type SiteRecord, tooLongSite } from './site-record.ts';

const LINE_FEED = 0x0a;
/** Before every text of a sequence (RFC 7464, section 2.2). */
const RECORD_SEPARATOR = 0x1e;
const BLANKS = new Set([0x20, 0x09, 0x0d, LINE_FEED]);
const BYTE_ORDER_MARK = [0xef, 0xbb, 0xbf];

/**
 * Bytes as they come -> one record a site. What begins with a record separator is a GeoJSON text sequence (RFC 8142), everything else has a
 * site a line; blank lines are no sites. A record of more than `bytesMax` bytes is refused in its place and never held whole.
 */
export async function* splitRecords(
  chunks: AsyncIterable<Uint8Array>,
  bytesMax: number,
): AsyncGenerator<SiteRecord, void, undefined> {
  let delimiter: number | undefined;
  let parts: Uint8Array[] = [];
  let length = 0;
  const taken = (): SiteRecord | undefined => {
    const record = length > bytesMax ? tooLongSite(length, bytesMax) : recordOf(parts, length);
    parts = [];
    length = 0;
    return record;
  };
  for await (const chunk of chunks) {
    delimiter ??= delimiterOf(chunk);
    for (let from = 0; from <= chunk.length; ) {
      const at = delimiter === undefined ? -1 : chunk.indexOf(delimiter, from);
      const piece = chunk.subarray(from, at < 0 ? chunk.length : at);
      length += piece.length;
      if (length <= bytesMax) parts.push(piece);
      else parts = [];
      if (at < 0) break;
      const record = taken();
      if (record !== undefined) yield record;
      from = at + 1;
    }
  }
  const last = taken();
  if (last !== undefined) yield last;
}

/** Undefined while nothing but blanks has come. */
function delimiterOf(chunk: Uint8Array): number | undefined {
  const first = chunk.find((byte) => !BLANKS.has(byte) && !BYTE_ORDER_MARK.includes(byte));
  if (first === undefined) return undefined;
  return first === RECORD_SEPARATOR ? RECORD_SEPARATOR : LINE_FEED;
}

function recordOf(parts: readonly Uint8Array[], length: number): SiteRecord | undefined {
  const bytes = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  const isBlank = bytes.every((byte) => BLANKS.has(byte) || BYTE_ORDER_MARK.includes(byte));
  return isBlank ? undefined : { outcome: 'read', bytes };
}
