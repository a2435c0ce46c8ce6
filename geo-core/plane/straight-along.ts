import type { Ring } from '#geo-core/model/position.ts';
import { distanceM } from './measure.ts';
import { pointAlong } from './point-along.ts';

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
  const line = Float64Array.from([...ring, ring[0], ring[1]]);
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
  const from = placeOn(track, alongM - Math.min(wantBeforeM, lengthM / 3));
  const to = placeOn(track, alongM + Math.min(wantBehindM, lengthM / 3));
  const chord = straightOn(track, alongM, from.x, from.y, to.x, to.y);
  const [ax, ay, bx, by] = line.subarray(2 * edge, 2 * edge + 4);
  const own = straightOn(track, alongM, ax, ay, bx, by);
  const slackM = ({ beforeM, behindM }: Straight): number => Math.min(beforeM - wantBeforeM, behindM - wantBehindM);
  return slackM(chord) > slackM(own) ? chord : own;
}

/** The point of a track at a chainage, counted on past its end and back past its start. */
export function placeOn(track: Track, alongM: number): { readonly x: number; readonly y: number } {
  return pointAlong(track.line, track.chainageM, wrapped(track, alongM));
}

function straightOn(track: Track, alongM: number, ax: number, ay: number, bx: number, by: number): Straight {
  const lengthM = distanceM(ax, ay, bx, by);
  const [ux, uy] = lengthM > 0 ? [(bx - ax) / lengthM, (by - ay) / lengthM] : [1, 0];
  const off = (x: number, y: number): number => ux * (y - ay) - uy * (x - ax);
  return { beforeM: reachM(track, alongM, -1, off), behindM: reachM(track, alongM, 1, off), ux, uy };
}

/** How far one can go along the ring, forwards or back, until it leaves the line. */
function reachM(track: Track, alongM: number, way: 1 | -1, off: (x: number, y: number) => number): number {
  const { line, lengthM } = track;
  const edges = line.length / 2 - 1;
  const limitM = Math.min(FAR_ENOUGH_M, lengthM / 2);
  let { x, y } = placeOn(track, alongM);
  let offM = off(x, y);
  if (Math.abs(offM) > STRAIGHT_WITHIN_M) return 0;
  let vertex = way === 1 ? edgeAt(track, alongM) + 1 : edgeAt(track, alongM);
  let goneM = 0;
  while (goneM < limitM) {
    const [nx, ny] = [line[2 * vertex], line[2 * vertex + 1]];
    const stepM = distanceM(x, y, nx, ny);
    const nextOffM = off(nx, ny);
    if (Math.abs(nextOffM) > STRAIGHT_WITHIN_M) {
      const share = (Math.sign(nextOffM) * STRAIGHT_WITHIN_M - offM) / (nextOffM - offM);
      return Math.min(limitM, goneM + share * stepM);
    }
    goneM += stepM;
    [x, y, offM] = [nx, ny, nextOffM];
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
  let [low, high] = [0, chainageM.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (chainageM[middle] <= atM) low = middle;
    else high = middle;
  }
  return low;
}
