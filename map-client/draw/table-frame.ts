import { localPlaneProjection } from '#geo-core/index.ts';
import type { PositionInput } from '#geo-core/model/site.ts';

/** Metres on the drawing table: east and north of its middle. */
export type TableFrame = {
  readonly toMetres: (position: PositionInput) => readonly [eastM: number, northM: number];
  readonly toPosition: (metres: readonly [eastM: number, northM: number]) => readonly [number, number];
};

export function tableFrame([originLonDeg, originLatDeg]: PositionInput): TableFrame {
  const { toPlane, toLonLat } = localPlaneProjection({ originLonDeg, originLatDeg });
  return {
    toMetres([lonDeg, latDeg]) {
      const { x, y } = toPlane(lonDeg, latDeg);
      return [x, y];
    },
    toPosition: ([x, y]) => toLonLat(x, y),
  };
}

export type Metres = readonly [eastM: number, northM: number];

export function betweenM([ax, ay]: Metres, [bx, by]: Metres): number {
  return Math.hypot(bx - ax, by - ay);
}

/** Area of a ring of metres, first not repeated (shoelace formula). */
export function ringAreaM2(ring: readonly Metres[]): number {
  const twice = ring.reduce((sum, [x, y], i) => {
    const [nextX, nextY] = ring[(i + 1) % ring.length];
    return sum + x * nextY - y * nextX;
  }, 0);
  return Math.abs(twice / 2);
}
