/**
 * Wire that joins some loops and touches each of them once: a tree of straight legs between points. The first points are the places on
 * the loops, in the order of `loops`; the others are bends and branch points.
 */
export type Joint = {
  readonly loops: readonly number[];
  /** Flat x, y. */
  readonly points: Float64Array;
  readonly legs: readonly (readonly [number, number])[];
  readonly lengthM: number;
  /** The edge of its ring that each place is on. */
  readonly edges: readonly number[];
};
