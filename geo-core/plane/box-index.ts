import Flatbush from 'flatbush';

/** The segments of flat rings, each with its closing edge, in the order of the rings: ax, ay, bx, by, ... metres. */
export function ringSegments(rings: readonly Float64Array[]): Float64Array {
  const segments = new Float64Array(rings.reduce((sum, ring) => sum + ring.length * 2, 0));
  let k = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const next = (i + 2) % ring.length;
      segments[k++] = ring[i];
      segments[k++] = ring[i + 1];
      segments[k++] = ring[next];
      segments[k++] = ring[next + 1];
    }
  }
  return segments;
}

/** A box index over segments ax, ay, bx, by (flat, four numbers each; metres). Undefined for no segments. */
export function segmentIndex(segments: ArrayLike<number>): Flatbush | undefined {
  const count = segments.length / 4;
  if (count === 0) return undefined;
  const index = new Flatbush(count);
  for (let i = 0; i < segments.length; i += 4) {
    const [ax, ay, bx, by] = [segments[i], segments[i + 1], segments[i + 2], segments[i + 3]];
    index.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
  }
  index.finish();
  return index;
}
