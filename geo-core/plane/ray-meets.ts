/**
 * How far along the ray from (x, y) in the direction (ux, uy) a segment is met, in lengths of that direction: negative where it lies
 * behind, NaN where the line passes it by or runs along it.
 */
export function rayMeets(
  x: number,
  y: number,
  ux: number,
  uy: number,
  segments: ArrayLike<number>,
  segment: number,
): number {
  const i = 4 * segment;
  const ax = segments[i] - x;
  const ay = segments[i + 1] - y;
  const dx = segments[i + 2] - segments[i];
  const dy = segments[i + 3] - segments[i + 1];
  const across = ux * dy - uy * dx;
  const share = (ax * uy - ay * ux) / across;
  if (across === 0 || share < 0 || share > 1) return Number.NaN;
  return (ax * dy - ay * dx) / across;
}
