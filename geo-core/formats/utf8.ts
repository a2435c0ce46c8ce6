/** UTF-8 bytes of a text (RFC 3629); half a surrogate pair becomes U+FFFD. The core knows no TextEncoder. */
export function utf8(text: string): number[] {
  const bytes: number[] = [];
  for (const character of text) {
    const point = character.codePointAt(0) ?? 0;
    bytes.push(...utf8OfCodePoint(point >= 0xd800 && point <= 0xdfff ? 0xfffd : point));
  }
  return bytes;
}

function utf8OfCodePoint(point: number): number[] {
  const tail = (shift: number) => 0x80 | ((point >> shift) & 0x3f);
  if (point < 0x80) return [point];
  if (point < 0x800) return [0xc0 | (point >> 6), tail(0)];
  if (point < 0x10000) return [0xe0 | (point >> 12), tail(6), tail(0)];
  return [0xf0 | (point >> 18), tail(12), tail(6), tail(0)];
}
