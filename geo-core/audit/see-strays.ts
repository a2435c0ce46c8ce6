import { parameterOnSegment, pointSegmentM, segmentsCross } from '#geo-core/plane/segment.ts';
import { gapBetweenM } from './nearest-places.ts';
import { distanceToSegmentsM, type IndexedSegments, pairsNear, type Segments } from './segments.ts';
import type { WorstCase } from './worst-case.ts';

const TOUCH_M = 1e-7;

/**
 * Tells `worst` how far each wire gets on the wrong side of an area's outline, metres: each segment that the outline meets is cut
 * there, and each piece whose middle lies on the wrong side is measured at its ends and its middle. A wire walked on without
 * meeting the outline stays on its side of it.
 */
export function seeStrays(
  wires: IndexedSegments,
  area: IndexedSegments,
  wanted: 'inside' | 'outside',
  worst: WorstCase,
): void {
  const { abXy, lengthM, count } = wires;
  const isMet = metByOutline(wires, area);
  const isWanted = wanted === 'inside';
  const cuts: number[] = [];
  /** Of the wire walked on without meeting the outline: whether it is where it should be. */
  let isRight: boolean | undefined;
  for (let i = 0; i < count; i++) {
    const at = 4 * i;
    if (isMet[i] === 0) {
      const isWalkedOn = i > 0 && abXy[at] === abXy[at - 2] && abXy[at + 1] === abXy[at - 1];
      if (isRight === undefined || !isWalkedOn) isRight = isInsideAt(wires, i, 0.5, area) === isWanted;
      if (!isRight) seePiece(wires, i, 0, 1, area, worst);
      continue;
    }
    isRight = undefined;
    cutByOutline(abXy[at], abXy[at + 1], abXy[at + 2], abXy[at + 3], area, cuts);
    for (let k = 0; k + 1 < cuts.length; k++) {
      if ((cuts[k + 1] - cuts[k]) * lengthM[i] < TOUCH_M) continue;
      if (isInsideAt(wires, i, (cuts[k] + cuts[k + 1]) / 2, area) !== isWanted)
        seePiece(wires, i, cuts[k], cuts[k + 1], area, worst);
    }
  }
}

function isInsideAt({ abXy }: Segments, i: number, share: number, area: IndexedSegments): boolean {
  const [ax, ay] = [abXy[4 * i], abXy[4 * i + 1]];
  return area.scan.windingAt(ax + share * (abXy[4 * i + 2] - ax), ay + share * (abXy[4 * i + 3] - ay)) > 0;
}

function seePiece(wires: Segments, i: number, from: number, to: number, area: IndexedSegments, worst: WorstCase): void {
  const { abXy } = wires;
  const [ax, ay, bx, by] = [abXy[4 * i], abXy[4 * i + 1], abXy[4 * i + 2], abXy[4 * i + 3]];
  for (const share of [from, (from + to) / 2, to]) {
    const [x, y] = [ax + share * (bx - ax), ay + share * (by - ay)];
    worst.see(distanceToSegmentsM(area, x, y), { x, y });
  }
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
