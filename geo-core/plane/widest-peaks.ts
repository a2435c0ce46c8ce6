import Delaunator from 'delaunator';
import type { PlanePoint, Ring } from '#geo-core/model/position.ts';

/** A place from which to climb to a widest circle, and its distance to the nearest sample, metres. */
export type Peak = { readonly at: PlanePoint; readonly radiusM: number };

/**
 * Places whose distance to boundary samples is locally greatest, at least `leastM`, widest first: the circles round Delaunay triangles
 * that hold their own centre. Every widest circle has such a place on its slope, as long as samples less than twice its
 * radius apart let no climb slip through a wall.
 */
export function widestPeaks(samples: Float64Array, leastM: number, holds: (x: number, y: number) => boolean): Peak[] {
  const { triangles } = new Delaunator(samples);
  const peaks: Peak[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [2 * triangles[t], 2 * triangles[t + 1], 2 * triangles[t + 2]];
    const bx = samples[b] - samples[a];
    const by = samples[b + 1] - samples[a + 1];
    const cx = samples[c] - samples[a];
    const cy = samples[c + 1] - samples[a + 1];
    const bb = bx * bx + by * by;
    const cc = cx * cx + cy * cy;
    const bc = bx * cx + by * cy;
    // No angle beyond a right one, but for rounding.
    const slack = -1e-12 * (bb + cc);
    if (bc < slack || bb - bc < slack || cc - bc < slack) continue;
    const half = 0.5 / (bx * cy - by * cx);
    const ux = half * (cy * bb - by * cc);
    const uy = half * (bx * cc - cx * bb);
    const squared = ux * ux + uy * uy;
    if (!(squared >= leastM * leastM)) continue;
    const x = samples[a] + ux;
    const y = samples[a + 1] + uy;
    if (holds(x, y)) peaks.push({ at: { x, y }, radiusM: Math.sqrt(squared) });
  }
  return peaks.sort((one, two) => two.radiusM - one.radiusM || one.at.y - two.at.y || one.at.x - two.at.x);
}

/**
 * Points along rings, x0, y0, x1, y1, ...: every corner, then evenly at most `spacingM` apart where `isWall` says so of the middle of
 * an edge.
 */
export function sampleRings(
  rings: readonly Ring[],
  spacingM: number,
  isWall: (x: number, y: number) => boolean = () => true,
): Float64Array {
  const points: number[] = [];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = i + 2 === ring.length ? 0 : i + 2;
      const dx = ring[j] - ring[i];
      const dy = ring[j + 1] - ring[i + 1];
      const parts = Math.max(1, Math.ceil(Math.sqrt(dx * dx + dy * dy) / spacingM));
      points.push(ring[i], ring[i + 1]);
      if (parts > 1 && !isWall(ring[i] + dx / 2, ring[i + 1] + dy / 2)) continue;
      for (let part = 1; part < parts; part++)
        points.push(ring[i] + (part / parts) * dx, ring[i + 1] + (part / parts) * dy);
    }
  }
  return new Float64Array(points);
}
