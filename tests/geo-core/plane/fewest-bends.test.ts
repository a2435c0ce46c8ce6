import { describe, expect, it } from 'vitest';
import type { Ring } from '#geo-core/model/position.ts';
import { fewestBends } from '#geo-core/plane/fewest-bends.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { reversedRing } from '#geo-core/plane/polygons.ts';
import { changedRing } from '#geo-core/plane/ring-change.ts';

/**
 * Closed forms from the right triangle under half a link (any textbook of geometry). Round a disc of radius r tangents that stay
 * within t of it turn by at most 2 acos(r / (r + t)); inside a circle of radius R chords that stay within t of it turn by at most
 * 2 acos((R - t) / R). The fewest vertices of a turn are the turn divided by that, rounded up.
 */
const tangentTurn = (r: number, t: number): number => 2 * Math.acos(r / (r + t));
const chordTurn = (R: number, t: number): number => 2 * Math.acos((R - t) / R);

/** Steps so fine that the drawn curve strays from the true one by less than 0.02 mm. */
const FINE = 2000;

/** A circle of points, counter-clockwise: what lies inside is on its left. */
function circle(radiusM: number, points: number): Ring {
  return Float64Array.from({ length: 2 * points }, (_, k) => {
    const angle = (2 * Math.PI * (k >> 1)) / points + 0.1;
    return radiusM * (k % 2 === 0 ? Math.cos(angle) : Math.sin(angle));
  });
}

/** A corner of a wall with an arc of radius r round it, turning right by `turn`, far away closed by corners to the left. */
function roundedCorner(radiusM: number, turn: number): Ring {
  const arc = Array.from({ length: FINE + 1 }, (_, k) => {
    const angle = Math.PI / 2 - (turn * k) / FINE;
    return [radiusM * Math.cos(angle), radiusM * Math.sin(angle)];
  });
  const [endX, endY] = arc[FINE];
  const far = [endX + 10 * Math.sin(Math.PI / 2 - turn), endY - 10 * Math.cos(Math.PI / 2 - turn)];
  return Float64Array.from([[-10, radiusM], ...arc, far, [far[0] + 10, 30], [-10, 30]].flat());
}

function laid(ring: Ring, toleranceM: number): Ring {
  return changedRing(ring, fewestBends(ring, toleranceM)).ring;
}

const verticesOf = (ring: Ring): number => ring.length / 2;

describe('fewest bends', () => {
  it.each([
    [0.25, 90, 0.02],
    [0.35, 90, 0.02],
    [0.65, 160, 0.02],
    [1.37, 90, 0.01],
    [1, 45, 0.03],
    [3, 170, 0.005],
  ])('go round a corner of radius %f m and %i degrees within %f m by the fewest tangents', (r, degrees, t) => {
    const turn = (degrees * Math.PI) / 180;
    const ring = roundedCorner(r, turn);
    const corners = 4;
    expect(verticesOf(laid(ring, t))).toBe(corners + Math.ceil(turn / tangentTurn(r, t)));
  });

  it.each([
    [0.65, 0.02],
    [0.35, 0.02],
    [2, 0.01],
  ])('go round a disc of radius %f m within %f m by the fewest tangents', (r, t) => {
    const around = laid(reversedRing(circle(r, FINE)), t);
    expect(verticesOf(around)).toBe(Math.ceil((2 * Math.PI) / tangentTurn(r, t)));
    for (let i = 0; i < around.length; i += 2) {
      const awayM = distanceM(0, 0, around[i], around[i + 1]);
      expect(awayM).toBeGreaterThanOrEqual(r * Math.cos(Math.PI / FINE) - 1e-9);
      expect(awayM).toBeLessThanOrEqual(r + t + 1e-9);
    }
  });

  it.each([
    [8, 0.02],
    [3.3, 0.05],
    [20, 0.004],
  ])('lay a digitised circular lawn of radius %f m within %f m by the fewest chords', (R, t) => {
    const inside = laid(circle(R, FINE), t);
    expect(verticesOf(inside)).toBe(Math.ceil((2 * Math.PI) / chordTurn(R, t)));
  });

  it('leave straight walls, tapers of 45 degrees and sharp corners as they are, to the bit', () => {
    const ring = Float64Array.of(0, 0, 8, 0, 8.5, 0.5, 12, 0.5, 12, 9, 6, 9, 6, 7, 5, 7, 5, 9, 0, 9);
    expect(laid(ring, 0.2)).toEqual(ring);
  });

  it('keep both straight stretches on their lines and only lengthen them round an arc', () => {
    const ring = roundedCorner(0.25, Math.PI / 2);
    const bent = laid(ring, 0.02);
    expect(bent[1]).toBe(0.25);
    expect(bent[3]).toBeCloseTo(0.25, 12);
    expect(bent[2]).toBeGreaterThan(0);
  });

  it('leave a ring alone where nothing may move', () => {
    expect(fewestBends(circle(3, 90), 0)).toEqual([]);
  });
});
