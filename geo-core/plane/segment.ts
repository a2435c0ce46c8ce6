/** Segment primitives: the only geometry that the planner and the audit share. Metres. */

/** Distance from a point to the segment a-b. */
export function pointSegmentM(x: number, y: number, ax: number, ay: number, bx: number, by: number): number {
  const t = parameterOnSegment(x, y, ax, ay, bx, by);
  const dx = x - ax - t * (bx - ax);
  const dy = y - ay - t * (by - ay);
  return Math.sqrt(dx * dx + dy * dy);
}

/** Where (0 at a, 1 at b) the segment comes nearest to the point. */
export function parameterOnSegment(x: number, y: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax;
  const dy = by - ay;
  const squared = dx * dx + dy * dy;
  if (squared === 0) return 0;
  const t = ((x - ax) * dx + (y - ay) * dy) / squared;
  return Math.min(1, Math.max(0, t));
}

/** Twice the signed area of the triangle a, b, c: positive where c lies left of a-b. */
export function cross(ax: number, ay: number, bx: number, by: number, cx: number, cy: number): number {
  return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
}

/** Whether the open segments a-b and c-d cross in one inner point of both. */
export function segmentsCross(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): boolean {
  const c = cross(ax, ay, bx, by, cx, cy);
  const d = cross(ax, ay, bx, by, dx, dy);
  const a = cross(cx, cy, dx, dy, ax, ay);
  const b = cross(cx, cy, dx, dy, bx, by);
  return c * d < 0 && a * b < 0;
}

/** Distance between the segments a-b and c-d; 0 where they cross. */
export function segmentSegmentM(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): number {
  if (segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) return 0;
  return Math.min(
    pointSegmentM(ax, ay, cx, cy, dx, dy),
    pointSegmentM(bx, by, cx, cy, dx, dy),
    pointSegmentM(cx, cy, ax, ay, bx, by),
    pointSegmentM(dx, dy, ax, ay, bx, by),
  );
}
