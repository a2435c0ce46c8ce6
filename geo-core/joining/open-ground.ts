import Flatbush from 'flatbush';
import type { DerivedLawn, LaidLoops, Loop } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { pointInRing, polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';

/** What a lead may lie on; `holdsLoops` where all loops of the part lie on it too, so that a lead may end anywhere on them. */
export type LeadGround = { readonly open: readonly Polygon[]; readonly holdsLoops: boolean };

/**
 * Ground of one part that a lead may lie on: without keep-outs and, where asked, without ground where nothing may be laid.
 * Empty for a part that is not there. Clean polygons on the grid. Where one
 * boundary loop holds them all and nothing stands in it without a loop, that loop is the ground: no lead need leave it.
 */
export function openGround(
  lawn: DerivedLawn,
  laid: LaidLoops,
  part: number,
  gridM: number,
  heedNoWire: boolean,
): LeadGround {
  const ground = lawn.ground[part];
  if (ground === undefined) return { open: [], holdsLoops: true };
  const loops = laid.loops.filter((loop) => loop.part === part);
  const keepOuts = outsideClosedLoops([...lawn.keepOuts.flatMap(({ polygons }) => polygons), ...laid.steep], loops);
  const noWire = heedNoWire ? lawn.noWire : [];
  const closed = ringsOf([...keepOuts, ...noWire]);
  const boundaries = loops.filter(({ kind }) => kind === 'boundary').map(({ ring }) => ring);
  const isBare = closed.length === 0 || (boundaries.length === 1 && isClearOf(boundaries[0], closed, gridM));
  if (boundaries.length === 1 && isBare) return { open: [{ outer: boundaries[0], holes: [] }], holdsLoops: true };
  const open =
    closed.length === 0 ? [ground] : polygonsFromRings(kernel().difference(ringsOf([ground]), closed, gridM));
  return { open, holdsLoops: noWire.length === 0 && laid.bumped.length === 0 };
}

function isClearOf(ring: Ring, closed: readonly Ring[], gridM: number): boolean {
  const [minX, minY, maxX, maxY] = boxOf(ring);
  const near = closed.filter((other) => {
    const box = boxOf(other);
    return box[0] <= maxX && box[1] <= maxY && box[2] >= minX && box[3] >= minY;
  });
  return near.length === 0 || kernel().intersection([ring], near, gridM).length === 0;
}

/**
 * Keep-outs that a lead could come near. No lead crosses a loop, so what stands in a keep-out loop is out of its way, unless
 * there is lawn with a loop of its own in there.
 */
function outsideClosedLoops(keepOuts: readonly Polygon[], loops: readonly Loop[]): readonly Polygon[] {
  if (loops.length === 0) return keepOuts;
  const boxes = new Flatbush(loops.length);
  for (const { ring } of loops) boxes.add(...boxOf(ring));
  boxes.finish();
  const holding = (ring: Ring): Loop[] =>
    boxes
      .search(ring[0], ring[1], ring[0], ring[1])
      .map((index) => loops[index])
      .filter((loop) => loop.kind === 'keep-out' && loop.ring !== ring && pointInRing(loop.ring, ring[0], ring[1]));
  const withLoopInside = new Set(loops.flatMap(({ ring }) => holding(ring)));
  return keepOuts.filter(({ outer }) => holding(outer).every((loop) => withLoopInside.has(loop)));
}

function boxOf(ring: Ring): [number, number, number, number] {
  const box: [number, number, number, number] = [ring[0], ring[1], ring[0], ring[1]];
  for (let i = 0; i < ring.length; i += 2) {
    box[0] = Math.min(box[0], ring[i]);
    box[1] = Math.min(box[1], ring[i + 1]);
    box[2] = Math.max(box[2], ring[i]);
    box[3] = Math.max(box[3], ring[i + 1]);
  }
  return box;
}
