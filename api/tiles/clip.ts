import type { TilePlace } from '#geo-core/index.ts';

/** Room around a tile that is drawn too, so that strokes do not end at its edge. */
export const BUFFER = 128;

type Bounds = { readonly low: number; readonly high: number };

/** The pieces of a line that lie in the square from `low` to `high`, whole-numbered at the cuts (Liang and Barsky, 1984). */
export function clipLine(line: readonly TilePlace[], { low, high }: Bounds): TilePlace[][] {
  const pieces: TilePlace[][] = [];
  let piece: TilePlace[] = [];
  for (let i = 1; i < line.length; i++) {
    const [x0, y0] = line[i - 1];
    const [x1, y1] = line[i];
    let [from, to] = [0, 1];
    for (const [run, room] of [
      [x0 - x1, x0 - low],
      [x1 - x0, high - x0],
      [y0 - y1, y0 - low],
      [y1 - y0, high - y0],
    ]) {
      if (run === 0) {
        if (room < 0) to = -1;
      } else if (run < 0) from = Math.max(from, room / run);
      else to = Math.min(to, room / run);
    }
    if (from > to) {
      if (piece.length > 1) pieces.push(piece);
      piece = [];
      continue;
    }
    const at = (t: number): TilePlace => [Math.round(x0 + (x1 - x0) * t), Math.round(y0 + (y1 - y0) * t)];
    if (from > 0 || piece.length === 0) {
      if (piece.length > 1) pieces.push(piece);
      piece = [at(from)];
    }
    piece.push(at(to));
    if (to < 1) {
      pieces.push(piece);
      piece = [];
    }
  }
  if (piece.length > 1) pieces.push(piece);
  return pieces;
}

/** What of a ring (not closed) lies in the square from `low` to `high`, its edges among it (Sutherland and Hodgman, 1974). */
export function clipRing(ring: readonly TilePlace[], { low, high }: Bounds): TilePlace[] {
  let rest = [...ring];
  for (const axis of [0, 1] as const) {
    for (const [bound, sign] of [
      [low, 1],
      [high, -1],
    ]) {
      const inside = (place: TilePlace) => sign * (place[axis] - bound) >= 0;
      const clipped: TilePlace[] = [];
      rest.forEach((place, i) => {
        const before = rest[(i + rest.length - 1) % rest.length];
        if (inside(place) !== inside(before)) {
          const share = (bound - before[axis]) / (place[axis] - before[axis]);
          const other = Math.round(before[1 - axis] + (place[1 - axis] - before[1 - axis]) * share);
          clipped.push(axis === 0 ? [bound, other] : [other, bound]);
        }
        if (inside(place)) clipped.push(place);
      });
      rest = clipped;
    }
  }
  return rest;
}
