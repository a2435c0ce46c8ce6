import type { PlanePoint, Ring } from '#geo-core/model/position.ts';

/** Centre of gravity of a ring's ground, for the place of a name; the first vertex where the ring has no area. */
export function ringCentre(ring: Ring): PlanePoint {
  let [doubleArea, x, y] = [0, 0, 0];
  const [x0, y0] = ring;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const [ax, ay, bx, by] = [ring[i] - x0, ring[i + 1] - y0, ring[j] - x0, ring[j + 1] - y0];
    const cross = ax * by - bx * ay;
    doubleArea += cross;
    x += (ax + bx) * cross;
    y += (ay + by) * cross;
  }
  if (doubleArea === 0) return { x: x0, y: y0 };
  return { x: x0 + x / (3 * doubleArea), y: y0 + y / (3 * doubleArea) };
}
