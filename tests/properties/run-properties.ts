import fc from 'fast-check';

/** LOOPWRIGHT_PROPERTY_CASES = how many gardens in all, LOOPWRIGHT_PROPERTY_SEED = which: a failing run tells the seed and the smallest garden that fails. */
const IN_ALL = Number(process.env.LOOPWRIGHT_PROPERTY_CASES ?? 1000);
const SEED = Number(process.env.LOOPWRIGHT_PROPERTY_SEED ?? 20_240);

/** Gardens of each property: 70 of a hundred are planned once, the others twice and compared. */
export const CASES = {
  anyGarden: share(0.7),
  sameTwice: share(0.05),
  writtenDifferently: share(0.1),
  elsewhere: share(0.15),
  /** Beside those: small gardens, and a take-off is reckoned in a fraction of the time of its plan. */
  takeOffAgain: share(0.2),
} as const;

/** Vitest's limit for a property: a second a garden is ten times what it takes on one busy core. */
export const LIMIT_MS = 60_000 + 1000 * IN_ALL;

/** Every one of `cases` gardens (or what else the arbitraries draw), the same ones in every run of a seed. */
export function everyCase<Values extends [unknown, ...unknown[]]>(
  cases: number,
  arbitraries: { [Index in keyof Values]: fc.Arbitrary<Values[Index]> },
  check: (...values: Values) => void,
): void {
  fc.assert(fc.property(...arbitraries, check), { seed: SEED, numRuns: cases });
}

function share(part: number): number {
  return Math.max(1, Math.round(part * IN_ALL));
}
