import Flatbush from 'flatbush';

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
