/** Figures (metres, square metres) that differ by no more are as good as equal: so much may rounding on the grid move them where a site is turned. */
const ALIKE = 1e-5;

/** For sorting: below zero where a comes first, zero where rounding alone could tell them apart, so that the next criterion decides. */
export function nearly(a: number, b: number): number {
  const difference = a - b;
  return Math.abs(difference) <= ALIKE ? 0 : difference;
}
