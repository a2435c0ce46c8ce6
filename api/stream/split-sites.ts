import { Tokenizer, TokenizerError, TokenType } from '@streamparser/json';
import { refusal } from '#api/plan/plan-job.ts';
import { type SiteRecord, tooLongSite } from './site-record.ts';

/** Text is gathered in pieces of so many bytes. */
const STRING_BUFFER = 4096;
const OPENS = new Set<TokenType>([TokenType.LEFT_BRACE, TokenType.LEFT_BRACKET]);
const CLOSES = new Set<TokenType>([TokenType.RIGHT_BRACE, TokenType.RIGHT_BRACKET]);
/** Depth of the members of the list `features`: document, list, member. */
const MEMBER_DEPTH = 3;

/**
 * One FeatureCollection of sites, however long -> one record a site: the members of its list `features`, as they stand. A member of
 * more than `bytesMax` bytes is refused in its place and never held whole. Where the document is no JSON nothing that follows can be told apart:
 * that is the last record.
 */
export async function* splitSites(
  chunks: AsyncIterable<Uint8Array>,
  bytesMax: number,
): AsyncGenerator<SiteRecord, void, undefined> {
  const splitter = memberSplitter(bytesMax);
  for await (const chunk of chunks) {
    yield* splitter.take(chunk);
    if (splitter.fault() !== undefined) break;
  }
  const fault = splitter.fault() ?? splitter.end();
  if (fault !== undefined) yield refusal('invalid-json', fault);
}

function memberSplitter(bytesMax: number) {
  let depth = 0;
  /** Whether the list we are in is the member `features` of the document. */
  let isInside = false;
  let hasList = false;
  let key: unknown;
  let fault: string | undefined;
  /** Where the member began that is being read, as a byte of the document. */
  let start: number | undefined;
  /** Where the last token ended at the earliest. */
  let tokenEnd = 0;
  let found: { readonly start: number; readonly end: number }[] = [];
  /** What is still needed of the document, from byte `heldFrom` on. */
  const held: Uint8Array[] = [];
  let heldFrom = 0;
  let passed = 0;

  const tokenizer = new Tokenizer({ stringBufferSize: STRING_BUFFER });
  tokenizer.onToken = ({ token, value, offset }) => {
    tokenEnd = offset + (typeof value === 'string' ? value.length : 1);
    if (OPENS.has(token)) {
      depth++;
      if (depth === 2) isInside = token === TokenType.LEFT_BRACKET && key === 'features';
      if (depth === 2 && isInside) hasList = true;
      if (depth === MEMBER_DEPTH && isInside) start = offset;
    } else if (CLOSES.has(token)) {
      if (depth === MEMBER_DEPTH && isInside && start !== undefined) {
        found.push({ start, end: offset + 1 });
        start = undefined;
      }
      depth--;
    } else if (depth === 2 && isInside && token !== TokenType.COMMA) {
      found.push({ start: offset, end: offset });
    } else if (depth === 1 && token === TokenType.STRING) key = value;
  };
  tokenizer.onError = (error) => {
    fault ??= brokenAt(error);
  };

  function* take(chunk: Uint8Array): Generator<SiteRecord> {
    found = [];
    held.push(chunk);
    passed += chunk.length;
    tokenizer.write(chunk);
    for (const { start: first, end } of found) {
      if (end === first)
        yield refusal('invalid-site', 'each of "features" is a site: a FeatureCollection or a Feature');
      else if (end - first > bytesMax) yield tooLongSite(end - first, bytesMax);
      else yield { outcome: 'read', bytes: cut(held, first - heldFrom, end - heldFrom) };
    }
    // Only the member that has begun is held on to, and not even that once it is too long.
    const neededFrom = start === undefined || passed - start > bytesMax ? passed : start;
    while (held.length > 0 && heldFrom + held[0].length <= neededFrom) heldFrom += held.shift()?.length ?? 0;
    if (passed - tokenEnd > bytesMax) {
      fault ??= `a text, number or gap of more than ${bytesMax} bytes: what follows cannot be told apart`;
    }
  }

  return {
    take,
    fault: () => fault,
    end: () => {
      if (depth > 0) return 'the collection of sites broke off before its end';
      return hasList ? undefined : 'this is no FeatureCollection of sites: there is no list "features"';
    },
  };
}

function cut(chunks: readonly Uint8Array[], from: number, to: number): Uint8Array {
  const bytes = new Uint8Array(to - from);
  let at = 0;
  for (const chunk of chunks) {
    const piece = chunk.subarray(Math.max(0, from - at), Math.max(0, to - at));
    if (piece.length > 0) bytes.set(piece, Math.max(0, at - from));
    at += chunk.length;
  }
  return bytes;
}

function brokenAt(error: Error): string {
  const where = error instanceof TokenizerError ? error.message : 'not JSON';
  return `${where}: the collection must be one JSON document (RFC 8259); what follows cannot be told apart`;
}
