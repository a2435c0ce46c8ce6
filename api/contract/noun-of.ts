/** What a JSON value is, for messages. */
export function nounOf(value: unknown): string {
  if (value === undefined) return 'missing';
  if (value === null) return 'null';
  if (Array.isArray(value)) return typeof value[0] === 'number' ? 'a list of numbers' : 'a list';
  if (typeof value === 'number') return Number.isFinite(value) ? `the number ${value}` : 'a number too large to hold';
  if (typeof value === 'string')
    return `the text ${JSON.stringify(value.length > 40 ? `${value.slice(0, 40)}…` : value)}`;
  return typeof value === 'object' ? 'an object' : `${value}`;
}
