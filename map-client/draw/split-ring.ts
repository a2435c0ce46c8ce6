import type { Metres } from './table-frame.ts';

type Cut = { readonly side: number; readonly piece: number; readonly along: number; readonly at: Metres };

/**
 * Parts a ring (metres, first not repeated) along a drawn line that crosses its outline just twice: two rings that share
 * the line between. Returns undefined where the line does not cross twice.
 */
export function splitRing(ring: readonly Metres[], line: readonly Metres[]): readonly [Metres[], Metres[]] | undefined {
  const cuts: Cut[] = [];
  for (let piece = 0; piece + 1 < line.length; piece++) {
    for (let side = 0; side < ring.length; side++) {
      const cut = crossing(line[piece], line[piece + 1], ring[side], ring[(side + 1) % ring.length]);
      if (cut !== undefined) cuts.push({ side, piece, along: cut.along, at: cut.at });
    }
  }
  if (cuts.length !== 2) return undefined;
  const [first, second] = cuts.toSorted((a, b) => a.piece - b.piece || a.along - b.along);
  const inner = line.slice(first.piece + 1, second.piece + 1);
  const there = [first.at, ...inner, second.at];
  return [
    [...there, ...between(ring, second, first)],
    [...there.toReversed(), ...between(ring, first, second)],
  ];
}

/** Corners of the ring on the way from one cut to the other, in the ring's own order. */
function between(ring: readonly Metres[], from: Cut, to: Cut): Metres[] {
  const count = (to.side - from.side + ring.length) % ring.length;
  const isRoundAbout = count === 0 && distance2(ring[from.side], from.at) > distance2(ring[from.side], to.at);
  return Array.from({ length: isRoundAbout ? ring.length : count }, (_, k) => ring[(from.side + 1 + k) % ring.length]);
}

function distance2([ax, ay]: Metres, [bx, by]: Metres): number {
  return (bx - ax) ** 2 + (by - ay) ** 2;
}

/** Where two stretches cross, with the share along the first; undefined where they do not. */
function crossing(a: Metres, b: Metres, c: Metres, d: Metres): { along: number; at: Metres } | undefined {
  const [ux, uy] = [b[0] - a[0], b[1] - a[1]];
  const [vx, vy] = [d[0] - c[0], d[1] - c[1]];
  const across = ux * vy - uy * vx;
  if (across === 0) return undefined;
  const along = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / across;
  const onSide = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / across;
  if (along < 0 || along > 1 || onSide < 0 || onSide >= 1) return undefined;
  return { along, at: [a[0] + along * ux, a[1] + along * uy] };
}
