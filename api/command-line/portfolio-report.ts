import { PROBLEMS } from '#api/problems.ts';
import type { Tally } from '#api/stream/tally.ts';

/** What came of many sites, and why the others were refused: plain text for a terminal. */
export function portfolioReport(tally: Tally, output: string): string {
  const { planned, stopped, refused, refusals, stops } = tally;
  const heads = [
    ['planned', String(planned)],
    ['  of them with a finding that says stop', String(stopped)],
    ['refused', String(refused)],
  ];
  const titles: Readonly<Record<string, { readonly title: string }>> = PROBLEMS;
  const reasons = ranked(refusals).map(([code, sites]) => [`${code}: ${titles[code]?.title ?? ''}`, String(sites)]);
  const findings = ranked(stops).map(([code, sites]) => [code, String(sites)]);
  const tables = [
    columns([['Sites', String(planned + refused)], ...heads]),
    ...(reasons.length > 0 ? [columns([['Refused because', 'sites'], ...reasons])] : []),
    ...(findings.length > 0 ? [columns([['Stopped by', 'sites'], ...findings])] : []),
  ];
  return `${tables.join('\n\n')}\n\nwrote ${output}\n`;
}

/** The most frequent first. */
function ranked(counts: ReadonlyMap<string, number>): (readonly [string, number])[] {
  return [...counts].toSorted(([a, n], [b, m]) => m - n || (a < b ? -1 : 1));
}

function columns(rows: readonly (readonly string[])[]): string {
  const widths = [0, 1].map((column) => Math.max(...rows.map((row) => row[column].length)));
  return rows.map(([name, figure]) => `${name.padEnd(widths[0])}  ${figure.padStart(widths[1])}`).join('\n');
}
