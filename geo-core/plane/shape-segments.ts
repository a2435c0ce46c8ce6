import type { PlaneShape } from '#geo-core/model/site.ts';
import { ringSegments } from './box-index.ts';
import { ringsOf } from './polygons.ts';

/** The outlines of a shape as segments ax, ay, bx, by; a point has none. */
export function segmentsOf(shape: PlaneShape): Float64Array {
  if (shape.type === 'point') return new Float64Array(0);
  if (shape.type === 'area') return ringSegments(ringsOf(shape.polygons));
  const segments = new Float64Array(shape.lines.reduce((sum, line) => sum + Math.max(0, 2 * line.length - 4), 0));
  let k = 0;
  for (const line of shape.lines) {
    for (let i = 0; i + 3 < line.length; i += 2, k += 4) segments.set(line.subarray(i, i + 4), k);
  }
  return segments;
}
