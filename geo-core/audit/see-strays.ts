import { parameterOnSegment, pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { gapBetweenM } from './nearest-places.ts';
import { distanceToSegmentsM, type IndexedSegments, pairsNear } from './segments.ts';
import type { WorstCase } from './worst-case.ts';

const TOUCH_M = 1e-7;

/** How far a place outside an area is from it, metres. */
export function outsideM(area: IndexedSegments, x: number, y: number): number {
  return area.scan.windingAt(x, y) > 0 ? 0 : distanceToSegmentsM(area, x, y);
}

/** How far a place inside an area is from its outline, metres. */
export function insideM(area: IndexedSegments, x: number, y: number): number {
  return area.scan.windingAt(x, y) > 0 ? distanceToSegmentsM(area, x, y) : 0;
}

/**
 * Tells `worst` how far each wire strays by `strayM`, metres, which is 0 where a wire may lie and more than 0 from the `outline` on:
 * each segment that the outline meets is cut there, and each piece whose middle lies wrong is measured at its ends and its middle. A wire
 * walked on without meeting the outline stays on its side of it.
 */
export function seeStrays(
  wires: IndexedSegments,
  outline: IndexedSegments,
  strayM: (x: number, y: number) => number,
  worst: WorstCase,
): void {
  const { abXy, lengthM, count } = wires;
  const isMet = metByOutline(wires, outline);
  const cuts: number[] = [];
  /** Of the wire walked on without meeting the outline: whether it lies where it may. */
  let isRight: boolean | undefined;
  for (let i = 0; i < count; i++) {
    const at = 4 * i;
    const [ax, ay, bx, by] = [abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3]];
    if (isMet[i] === 0) {
      const isWalkedOn = i > 0 && ax === abXy[at - 2] && ay === abXy[at - 1];
      if (isRight === undefined || !isWalkedOn) isRight = strayM((ax + bx) / 2, (ay + by) / 2) === 0;
      if (!isRight) seePiece(ax, ay, bx, by, strayM, worst);
      continue;
    }
    isRight = undefined;
    cutByOutline(ax, ay, bx, by, outline, cuts);
    for (let k = 0; k + 1 < cuts.length; k++) {
      if ((cuts[k + 1] - cuts[k]) * lengthM[i] < TOUCH_M) continue;
      const [from, to] = [cuts[k], cuts[k + 1]];
      const [dx, dy] = [bx - ax, by - ay];
      if (strayM(ax + ((from + to) / 2) * dx, ay + ((from + to) / 2) * dy) > 0)
        seePiece(ax + from * dx, ay + from * dy, ax + to * dx, ay + to * dy, strayM, worst);
    }
  }
}

function seePiece(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  strayM: (x: number, y: number) => number,
  worst: WorstCase,
): void {
  worst.see(strayM(ax, ay), { x: ax, y: ay });
  worst.see(strayM((ax + bx) / 2, (ay + by) / 2), { x: (ax + bx) / 2, y: (ay + by) / 2 });
  worst.see(strayM(bx, by), { x: bx, y: by });
}

/** 1 for every wire that comes as near to the outline as a touch. */
function metByOutline(wires: IndexedSegments, area: IndexedSegments): Uint8Array {
  const isMet = new Uint8Array(wires.count);
  const pairs = pairsNear(area, wires, TOUCH_M);
  for (let p = 0; p < pairs.length; p += 2) {
    if (gapBetweenM(area, pairs[p], wires, pairs[p + 1]) <= TOUCH_M) isMet[pairs[p + 1]] = 1;
  }
  return isMet;
}

/** Makes `cuts` the shares of a-b, 0 and 1 among them, at which the outline crosses or touches it, ascending. */
function cutByOutline(ax: number, ay: number, bx: number, by: number, area: IndexedSegments, cuts: number[]): void {
  cuts.length = 0;
  cuts.push(0, 1);
  const { abXy, grid } = area;
  const many = grid.near(ax, ay, bx, by, TOUCH_M);
  for (let n = 0; n < many; n++) {
    const at = 4 * grid.found[n];
    const [cx, cy, dx, dy] = [abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3]];
    if (segmentsCross(ax, ay, bx, by, cx, cy, dx, dy)) {
      const across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx);
      cuts.push(((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across);
    } else if (pointSegmentM(cx, cy, ax, ay, bx, by) < TOUCH_M) {
      cuts.push(parameterOnSegment(cx, cy, ax, ay, bx, by));
    }
  }
  if (cuts.length > 2) cuts.sort((p, q) => p - q);
}
