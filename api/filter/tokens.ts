import { FilterError } from './filter-error.ts';

export type Token =
  | { readonly kind: 'word'; readonly text: string; readonly at: number; readonly isQuoted: boolean }
  | { readonly kind: 'text'; readonly text: string; readonly at: number }
  | { readonly kind: 'number'; readonly value: number; readonly at: number }
  | { readonly kind: 'sign'; readonly text: string; readonly at: number }
  | { readonly kind: 'end'; readonly at: number };

const SPACE = /\s+/y;
const WORD = /[\p{L}_:][\p{L}\p{N}_.:]*/uy;
const NUMBER = /(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/y;
const SIGN = /<>|<=|>=|[=<>+\-*/%^(),]/y;

/** CQL2 text (OGC 21-065r2, annex B) in pieces. */
export function tokens(text: string): Token[] {
  const found: Token[] = [];
  let at = 0;
  const match = (pattern: RegExp): string | undefined => {
    pattern.lastIndex = at;
    return pattern.exec(text)?.[0];
  };
  while (at < text.length) {
    const space = match(SPACE);
    if (space !== undefined) {
      at += space.length;
      continue;
    }
    const start = at;
    if (text[at] === "'" || text[at] === '"') {
      const { content, end } = quoted(text, at);
      found.push(
        text[start] === "'"
          ? { kind: 'text', text: content, at: start }
          : { kind: 'word', text: content, at: start, isQuoted: true },
      );
      at = end;
      continue;
    }
    const number = match(NUMBER);
    const word = number === undefined ? match(WORD) : undefined;
    const sign = word === undefined && number === undefined ? match(SIGN) : undefined;
    if (number !== undefined) found.push({ kind: 'number', value: Number(number), at });
    else if (word !== undefined) found.push({ kind: 'word', text: word, at, isQuoted: false });
    else if (sign !== undefined) found.push({ kind: 'sign', text: sign, at });
    else throw new FilterError(`"${text[at]}" at character ${at + 1} is nothing CQL2 knows`);
    at += (number ?? word ?? sign ?? '').length;
  }
  found.push({ kind: 'end', at });
  return found;
}

/** A text or quoted name; a quote inside is doubled or has a backslash in front. */
function quoted(text: string, start: number): { content: string; end: number } {
  const quote = text[start];
  let content = '';
  for (let at = start + 1; at < text.length; at++) {
    const isEscape = text[at] === '\\' && text[at + 1] === quote;
    const isDoubled = text[at] === quote && text[at + 1] === quote;
    if (isEscape || isDoubled) {
      content += quote;
      at++;
    } else if (text[at] === quote) return { content, end: at + 1 };
    else content += text[at];
  }
  throw new FilterError(`the quote that opens at character ${start + 1} is never closed`);
}
