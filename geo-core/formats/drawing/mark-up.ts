/** A piece of a document made of elements, before it is written: as XML, or drawn by whoever can draw it. */
export type MarkUp = Element | Words;
export type Element = {
  readonly name: string;
  readonly attributes: Attributes;
  readonly children: readonly MarkUp[];
};
export type Words = { readonly words: string };

export type Attributes = Readonly<Record<string, string | number>>;

export function element(name: string, attributes: Attributes, ...children: readonly MarkUp[]): Element {
  return { name, attributes, children };
}

export function text(words: string): Words {
  return { words };
}

/** Several pieces as one. */
export function group(...children: readonly MarkUp[]): Element {
  return element('g', {}, ...children);
}

/** As XML. Numbers get two decimals (0.01 mm on the sheet); no text can become mark-up. */
export function written(piece: MarkUp): string {
  if ('words' in piece) return escaped(piece.words);
  const { name, attributes, children } = piece;
  const list = Object.entries(attributes)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? decimals(value) : escaped(value)}"`)
    .join('');
  return children.length === 0 ? `<${name}${list}/>` : `<${name}${list}>${children.map(written).join('')}</${name}>`;
}

/** Text as XML character data; what XML 1.0 does not allow is left out. */
export function escaped(value: string): string {
  return value
    .replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, '')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/** Two decimals at most, never `-0`. */
export function decimals(value: number): string {
  return String(Math.round(value * 100) / 100 + 0);
}
