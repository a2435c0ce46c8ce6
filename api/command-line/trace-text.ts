/** A stage's output as JSON that a person can read: typed arrays as lists, functions left out, NaN and infinities as text. */
export function traceText(output: unknown): string {
  return `${JSON.stringify(output, plain, 1)}\n`;
}

function plain(_key: string, value: unknown): unknown {
  if (value instanceof Float64Array || value instanceof Float32Array) return Array.from(value);
  if (value instanceof Map) return Object.fromEntries(value);
  if (typeof value === 'number' && !Number.isFinite(value)) return String(value);
  return value;
}
