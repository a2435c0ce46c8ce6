/**
 * The one-third rule: no more than a third of the leaf at once (Ohio State University extension: keep 3 in, mow before 4.5 in). So grass kept
 * at `heightMm` is mown before half as much again has grown. Millimetres.
 */
export function mowBeforeMm(heightMm: number): number {
  return 1.5 * heightMm;
}

/** Cuts a week that the rule wants of every spot where grass grows so many millimetres a day. */
export function cutsPerWeek(heightMm: number, growthMmPerDay: number): number {
  return (7 * growthMmPerDay) / (mowBeforeMm(heightMm) - heightMm);
}
