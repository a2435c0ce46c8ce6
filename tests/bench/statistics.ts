/** Order statistics and plain tables for the benches. */

/** The value below which the given share of the numbers lies (nearest rank); NaN for none. */
export function quantile(numbers: readonly number[], share: number): number {
  const sorted = numbers.toSorted((a, b) => a - b);
  return sorted.length === 0 ? Number.NaN : sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}

export function sum(numbers: readonly number[]): number {
  return numbers.reduce((total, number) => total + number, 0);
}

/** The exponent e of y = c x^e that fits the pairs [x, y] best: least squares over their logarithms. */
export function growthExponent(pairs: readonly (readonly [x: number, y: number])[]): number {
  const logs = pairs.map(([x, y]) => [Math.log(x), Math.log(y)]);
  const meanX = sum(logs.map(([x]) => x)) / logs.length;
  const meanY = sum(logs.map(([, y]) => y)) / logs.length;
  return sum(logs.map(([x, y]) => (x - meanX) * (y - meanY))) / sum(logs.map(([x]) => (x - meanX) ** 2));
}

/** Uniform numbers in [0, 1), the same for the same seed (a 32-bit mixer: Weyl step, two multiply-xorshift rounds). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** Rows as columns of text, the first left-aligned, the others right-aligned. */
export function table(rows: readonly (readonly string[])[]): string {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  return rows
    .map((row) =>
      row
        .map((cell, column) => (column === 0 ? cell.padEnd(widths[column]) : cell.padStart(widths[column])))
        .join('  '),
    )
    .join('\n');
}

export const milliseconds = (seconds: number): string => (1000 * seconds).toFixed(seconds < 0.1 ? 2 : 0);
export const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
