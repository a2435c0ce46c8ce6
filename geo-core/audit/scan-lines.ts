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
  let minY = Infinity;
  let maxY = -Infinity;
  let climbedM = 0;
  for (let at = 1; at < 4 * count; at += 4) {
    const ay = abXy[at];
    const by = abXy[at + 2];
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

  // Twice over all bands: the first time counts what crosses each, the second puts it there.
  const starts = new Int32Array(bands + 1);
  let items = new Int32Array(0);
  for (let isFilling = false; ; isFilling = true) {
    for (let k = 0; k < count; k++) {
      const ay = abXy[4 * k + 1];
      const by = abXy[4 * k + 3];
      if (ay === by || Number.isNaN(ay + by)) continue;
      const last = bandOf(Math.max(ay, by));
      for (let band = bandOf(Math.min(ay, by)); band <= last; band++) {
        if (isFilling) items[--starts[band]] = k;
        else starts[band]++;
      }
    }
    if (isFilling) break;
    for (let band = 0; band < bands; band++) starts[band + 1] += starts[band];
    items = new Int32Array(starts[bands]);
  }

  return {
    windingAt(x, y, only = -1) {
      if (!(y >= minY && y <= maxY)) return 0;
      const band = bandOf(y);
      const end = starts[band + 1];
      let winding = 0;
      for (let i = starts[band]; i < end; i++) {
        const k = items[i];
        const at = 4 * k;
        const ay = abXy[at + 1];
        const by = abXy[at + 3];
        if (ay <= y === by <= y || (only >= 0 && group[k] !== only)) continue;
        const ax = abXy[at];
        const bx = abXy[at + 2];
        if (ax < x && bx < x) continue;
        if (by > ay) {
          if (cross(ax, ay, bx, by, x, y) > 0) winding++;
        } else if (cross(bx, by, ax, ay, x, y) > 0) winding--;
      }
      return winding;
    },
  };
}
