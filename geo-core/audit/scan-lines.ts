import { cross } from '#geo-core/plane/segment.ts';

/**
 * Winding numbers of lines taken as closed: horizontal bands, each with the segments that cross it, so that a ray to the
 * east looks at no others.
 */
export type ScanLines = {
  /** Winding number around (x, y); with `group`, of the segments of that group alone. */
  windingAt(x: number, y: number, group?: number): number;
};

/** A band holds this many segments that merely pass through it, at most, on the mean. */
const PASSING = 8;

/**
 * Scan lines over `count` segments given flat, four numbers each. Upward crossings of the ray to the east count +1, downward
 * ones -1 (Sunday's rule, after Hormann and Agathos, Comput. Geom. 20 (2001); from memory). The side test always runs from
 * the lower to the upper end, so two walks over the same line cancel to the last bit.
 */
export function scanLines(abXy: Float64Array, group: Int32Array, count: number): ScanLines {
  let [minY, maxY, climbedM] = [Infinity, -Infinity, 0];
  for (let k = 0; k < count; k++) {
    const [ay, by] = [abXy[4 * k + 1], abXy[4 * k + 3]];
    if (Number.isNaN(ay + by)) continue;
    minY = Math.min(minY, ay, by);
    maxY = Math.max(maxY, ay, by);
    climbedM += Math.abs(by - ay);
  }
  const heightM = maxY - minY;
  if (!(heightM > 0)) return { windingAt: () => 0 };
  const bands = Math.ceil(count * Math.min(1, (PASSING * heightM) / climbedM));
  const perM = bands / heightM;
  const bandOf = (y: number): number => Math.min(bands - 1, Math.floor((y - minY) * perM));

  const starts = new Int32Array(bands + 1);
  function eachBand(visit: (band: number, segment: number) => void): void {
    for (let k = 0; k < count; k++) {
      const [ay, by] = [abXy[4 * k + 1], abXy[4 * k + 3]];
      if (ay === by || Number.isNaN(ay + by)) continue;
      const last = bandOf(Math.max(ay, by));
      for (let band = bandOf(Math.min(ay, by)); band <= last; band++) visit(band, k);
    }
  }
  eachBand((band) => {
    starts[band + 1]++;
  });
  for (let band = 0; band < bands; band++) starts[band + 1] += starts[band];
  const items = new Int32Array(starts[bands]);
  const filled = starts.slice();
  eachBand((band, segment) => {
    items[filled[band]++] = segment;
  });

  return {
    windingAt(x, y, only) {
      if (!(y >= minY && y <= maxY)) return 0;
      const band = bandOf(y);
      let winding = 0;
      for (let i = starts[band]; i < starts[band + 1]; i++) {
        const k = items[i];
        const at = 4 * k;
        const [ay, by] = [abXy[at + 1], abXy[at + 3]];
        if (ay <= y === by <= y || (only !== undefined && group[k] !== only)) continue;
        const [ax, bx] = [abXy[at], abXy[at + 2]];
        if (ax < x && bx < x) continue;
        if (by > ay) {
          if (cross(ax, ay, bx, by, x, y) > 0) winding++;
        } else if (cross(bx, by, ax, ay, x, y) > 0) winding--;
      }
      return winding;
    },
  };
}
