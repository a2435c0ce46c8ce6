/** A piece of XML, ready to be written. */
export type MarkUp = string;

export type Attributes = Readonly<Record<string, string | number>>;

/** An element; children are mark-up already, text goes through `text` first. Numbers get two decimals (0.01 mm on the sheet). */
export function element(name: string, attributes: Attributes, ...children: readonly MarkUp[]): MarkUp {
  const written = Object.entries(attributes)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? decimals(value) : text(value)}"`)
    .join('');
  return children.length === 0 ? `<${name}${written}/>` : `<${name}${written}>${children.join('')}</${name}>`;
}

/** Text as XML character data; what XML 1.0 does not allow is left out. */
export function text(value: string): MarkUp {
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
