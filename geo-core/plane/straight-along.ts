import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import { distanceM } from './measure.ts';
import { pointAlong } from './point-along.ts';
import { closedLine } from './polygons.ts';

/** A ring as a line closed at its end, with chainages from its first vertex. */
export type Track = { readonly line: Float64Array; readonly chainageM: Float64Array; readonly lengthM: number };

/** How far a ring runs straight on both sides of a place, metres, and the direction of travel there (a unit vector). */
export type Straight = {
  readonly beforeM: number;
  readonly behindM: number;
  readonly ux: number;
  readonly uy: number;
};

/** A wire counts as straight while it stays this near a straight line, metres (common practice, no source). */
export const STRAIGHT_WITHIN_M = 0.02;
/** Nobody asks for more straight wire than this, metres. */
const FAR_ENOUGH_M = 10;

export function trackOf(ring: Ring): Track {
  const line = closedLine(ring);
  const chainageM = new Float64Array(line.length / 2);
  for (let k = 1; k < chainageM.length; k++) {
    chainageM[k] = chainageM[k - 1] + distanceM(line[2 * k - 2], line[2 * k - 1], line[2 * k], line[2 * k + 1]);
  }
  return { line, chainageM, lengthM: chainageM[chainageM.length - 1] };
}

/**
 * The straight at a place of a ring: of the line through the ends of the wanted stretch and the line along the ring's own
 * edge the one that does more for the wanted lengths. `before` is upstream, where one comes from; at most 10 m are told.
 */
export function straightAlong(track: Track, alongM: number, wantBeforeM: number, wantBehindM: number): Straight {
  const edge = edgeAt(track, alongM);
  const { line, lengthM } = track;
  const at = placeOn(track, alongM);
  const from = placeOn(track, alongM - Math.min(wantBeforeM, lengthM / 3));
  const to = placeOn(track, alongM + Math.min(wantBehindM, lengthM / 3));
  const chord = straightOn(track, edge, at, from.x, from.y, to.x, to.y);
  const k = 2 * edge;
  const own = straightOn(track, edge, at, line[k], line[k + 1], line[k + 2], line[k + 3]);
  const chordSlackM = Math.min(chord.beforeM - wantBeforeM, chord.behindM - wantBehindM);
  const ownSlackM = Math.min(own.beforeM - wantBeforeM, own.behindM - wantBehindM);
  return chordSlackM > ownSlackM ? chord : own;
}

/** The point of a track at a chainage, counted on past its end and back past its start. */
export function placeOn(track: Track, alongM: number): PlanePoint {
  return pointAlong(track.line, track.chainageM, wrapped(track, alongM));
}

function straightOn(
  track: Track,
  edge: number,
  at: PlanePoint,
  ax: number,
  ay: number,
  bx: number,
  by: number,
): Straight {
  const lengthM = distanceM(ax, ay, bx, by);
  const ux = lengthM > 0 ? (bx - ax) / lengthM : 1;
  const uy = lengthM > 0 ? (by - ay) / lengthM : 0;
  return {
    beforeM: reachM(track, edge, at, -1, ax, ay, ux, uy),
    behindM: reachM(track, edge + 1, at, 1, ax, ay, ux, uy),
    ux,
    uy,
  };
}

/** How far one can go along the ring from a place by way of a vertex, forwards or back, until it leaves the line through a. */
function reachM(
  { line, lengthM }: Track,
  firstVertex: number,
  at: PlanePoint,
  way: 1 | -1,
  ax: number,
  ay: number,
  ux: number,
  uy: number,
): number {
  const edges = line.length / 2 - 1;
  const limitM = Math.min(FAR_ENOUGH_M, lengthM / 2);
  let { x, y } = at;
  let offM = ux * (y - ay) - uy * (x - ax);
  if (Math.abs(offM) > STRAIGHT_WITHIN_M) return 0;
  let vertex = firstVertex;
  let goneM = 0;
  while (goneM < limitM) {
    const nx = line[2 * vertex];
    const ny = line[2 * vertex + 1];
    const stepM = distanceM(x, y, nx, ny);
    const nextOffM = ux * (ny - ay) - uy * (nx - ax);
    if (Math.abs(nextOffM) > STRAIGHT_WITHIN_M) {
      const share = (Math.sign(nextOffM) * STRAIGHT_WITHIN_M - offM) / (nextOffM - offM);
      return Math.min(limitM, goneM + share * stepM);
    }
    goneM += stepM;
    x = nx;
    y = ny;
    offM = nextOffM;
    vertex = (((vertex + way) % edges) + edges) % edges;
  }
  return limitM;
}

function wrapped({ lengthM }: Track, alongM: number): number {
  return ((alongM % lengthM) + lengthM) % lengthM;
}

function edgeAt(track: Track, alongM: number): number {
  const { chainageM } = track;
  const atM = wrapped(track, alongM);
  let low = 0;
  let high = chainageM.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (chainageM[middle] <= atM) low = middle;
    else high = middle;
  }
  return low;
}
