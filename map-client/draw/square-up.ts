import type { Metres } from './table-frame.ts';

/** Corners within this of a right angle are meant to be one, as the cosine of 78 degrees. */
const MEANT_SQUARE = 0.21;
const ROUNDS = 200;

/**
 * Makes the corners of a ring that are nearly right angles right, moving every corner as little as it can: each such corner
 * goes half the way to the circle over its neighbours (Thales), round after round. Other corners stay as they are unless
 * a neighbour takes them along.
 */
export function squareUp(ring: readonly Metres[]): Metres[] {
  const meant = ring.map((_, i) => Math.abs(cosineAt(ring, i)) < MEANT_SQUARE);
  let now = ring.map(([x, y]): Metres => [x, y]);
  for (let round = 0; round < ROUNDS; round++) {
    now = now.map((corner, i) => (meant[i] ? towardsCircle(now, i) : corner));
  }
  return now;
}

/** The point of the circle over the line between both neighbours that lies nearest to the corner, half the way there. */
function towardsCircle(ring: readonly Metres[], i: number): Metres {
  const [before, [x, y], after] = around(ring, i);
  const [middleX, middleY] = [(before[0] + after[0]) / 2, (before[1] + after[1]) / 2];
  const radiusM = Math.hypot(after[0] - before[0], after[1] - before[1]) / 2;
  const farM = Math.hypot(x - middleX, y - middleY);
  if (farM === 0) return [x, y];
  const scale = (1 + radiusM / farM) / 2;
  return [middleX + (x - middleX) * scale, middleY + (y - middleY) * scale];
}

function cosineAt(ring: readonly Metres[], i: number): number {
  const [before, at, after] = around(ring, i);
  const [ux, uy] = [before[0] - at[0], before[1] - at[1]];
  const [vx, vy] = [after[0] - at[0], after[1] - at[1]];
  return (ux * vx + uy * vy) / (Math.hypot(ux, uy) * Math.hypot(vx, vy));
}

function around(ring: readonly Metres[], i: number): readonly [Metres, Metres, Metres] {
  return [ring[(i + ring.length - 1) % ring.length], ring[i], ring[(i + 1) % ring.length]];
}
