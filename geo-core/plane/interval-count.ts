/**
 * How many equal intervals of at most `spacing` a length needs: ceil(length / spacing), but the dust of floating point does not
 * cost an interval: 100 at 0.8 gives 125 though 100 / 0.8 is a hair above. At least 1 for a positive length, 0 for none.
 */
export function intervalCount(length: number, spacing: number): number {
  return length > 0 ? Math.max(1, Math.ceil(length / spacing - 1e-9)) : 0;
}
