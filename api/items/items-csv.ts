import type { Collection } from '#api/collections/collections.ts';
import type { ItemFeature } from './item-feature.ts';
import { wellKnownText } from './well-known-text.ts';

/** Features as CSV (RFC 4180): id, declared properties, geometry as well-known text. */
export function itemsCsv({ fields }: Collection, features: readonly ItemFeature[]): string {
  const names = Object.keys(fields);
  const rows = features.map(({ id, properties, geometry }) => [
    cell(id),
    ...names.map((name) => cell(properties[name])),
    cell(wellKnownText(geometry)),
  ]);
  return [['id', ...names, 'geometry'], ...rows].map((row) => `${row.join(',')}\r\n`).join('');
}

/** Text that a spreadsheet would run as a formula gets an apostrophe in front; numbers, negative ones too, stay as they are. */
export function cell(value: unknown): string {
  if (value === null || value === undefined) return '';
  const plain = typeof value === 'string' ? value : JSON.stringify(value);
  const text = typeof value === 'string' && /^[=+\-@\t\r]/.test(plain) ? `'${plain}` : plain;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
