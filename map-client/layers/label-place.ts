import type { LocalPlane, PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';

const SCAN_LINES = 15;

export type LabelPlace = {
  readonly inside: PlanePoint;
  /** Level room for text there, metres. */
  readonly roomM: number;
  /** The easternmost corner, to write beside what is too small to write in. */
  readonly beside: PlanePoint;
};

/**
 * Where to write the name of a polygon: in the middle of the widest stretch on some level scan lines, or beside it. Names are written
 * level on a sheet whose top is north, whichever way the plane's own axes lie.
 */
export function labelPlace({ outer, holes }: Polygon, { xAxis }: Pick<LocalPlane, 'xAxis'>): LabelPlace {
  const { east, north } = xAxis ?? { east: 1, north: 0 };
  const level = (ring: Ring): Ring =>
    ring.map((value, i) => (i % 2 === 0 ? value * east - ring[i + 1] * north : ring[i - 1] * north + value * east));
  const { inside, roomM, beside } = levelPlace({ outer: level(outer), holes: holes.map(level) });
  const back = ({ x, y }: PlanePoint): PlanePoint => ({ x: x * east + y * north, y: y * east - x * north });
  return { inside: back(inside), roomM, beside: back(beside) };
}

function levelPlace({ outer, holes }: Polygon): LabelPlace {
  let [south, north] = [Infinity, -Infinity];
  for (let i = 1; i < outer.length; i += 2) {
    south = Math.min(south, outer[i]);
    north = Math.max(north, outer[i]);
  }
  let best = { x: outer[0], y: outer[1], score: 0, roomM: 0 };
  for (let line = 1; line < SCAN_LINES; line++) {
    const share = line / SCAN_LINES;
    const y = south + (north - south) * share;
    const crossings = [outer, ...holes].flatMap((ring) => crossingsAt(ring, y)).sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      // Lines near the middle come before slightly wider ones at the rim.
      const roomM = crossings[i + 1] - crossings[i];
      const score = roomM * (1 - Math.abs(share - 0.5));
      if (score > best.score) best = { x: (crossings[i] + crossings[i + 1]) / 2, y, score, roomM };
    }
  }
  let east = 0;
  for (let i = 2; i < outer.length; i += 2) if (outer[i] > outer[east]) east = i;
  return { inside: { x: best.x, y: best.y }, roomM: best.roomM, beside: { x: outer[east], y: outer[east + 1] } };
}

function crossingsAt(ring: Float64Array, y: number): number[] {
  const result: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const [ax, ay, bx, by] = [ring[i], ring[i + 1], ring[j], ring[j + 1]];
    if (ay <= y !== by <= y) result.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
  }
  return result;
}
