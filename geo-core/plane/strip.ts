import type { Polyline, Ring } from '#geo-core/model/position.ts';
import { discRing } from './inset-contour.ts';

/** A line widened to a strip: one rectangle for each segment and a disc at each bend, to be joined by a union. Metres. */
export function stripRings(line: Polyline, widthM: number): Ring[] {
  const half = widthM / 2;
  const rings: Ring[] = [];
  for (let i = 0; i + 3 < line.length; i += 2) {
    const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
    const length = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
    if (length === 0) continue;
    const nx = (-(by - ay) / length) * half;
    const ny = ((bx - ax) / length) * half;
    rings.push(Float64Array.of(ax - nx, ay - ny, bx - nx, by - ny, bx + nx, by + ny, ax + nx, ay + ny));
    if (i > 0) rings.push(discRing(ax, ay, half));
  }
  return rings;
}
