/** Plans as something a person can compare: numbers rounded, so that a diff shows what changed and not the last bits. */

const DEGREE_DECIMALS = 7;
const FIGURE_DECIMALS = 3;

/** Every number rounded: positions to 1e-7 degree (about 1 cm), figures to a thousandth. */
export function roundedFigures(value: unknown, key = ''): unknown {
  if (typeof value === 'number')
    return rounded(value, key === 'coordinates' || key === 'at' || key === 'bbox' ? DEGREE_DECIMALS : FIGURE_DECIMALS);
  if (Array.isArray(value)) return value.map((each) => roundedFigures(each, key));
  if (value === null || typeof value !== 'object') return value;
  return Object.fromEntries(Object.entries(value).map(([name, each]) => [name, roundedFigures(each, name)]));
}

/** Indented JSON with every list of numbers on one line. */
export function readableJson(value: unknown): string {
  return `${JSON.stringify(value, null, 1).replace(/\[\s+(-?[\d.e+-]+(?:,\s+-?[\d.e+-]+)*)\s+\]/g, (list) => list.replace(/\s+/g, ' ').replace('[ ', '[').replace(' ]', ']'))}\n`;
}

function rounded(value: number, decimals: number): number {
  const scaled = Number(value.toFixed(decimals));
  return scaled === 0 ? 0 : scaled;
}
