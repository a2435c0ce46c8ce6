import type { Arrangement, Bay, EdgedPolygon, InsetPolygon, KeepOut, Loop } from '#geo-core/model/plane-plan.ts';
import type { Polygon, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { ringSegments } from '#geo-core/plane/box-index.ts';
import { wallsOf } from '#geo-core/plane/facing-walls.ts';
import { distanceM, ringLengthM } from '#geo-core/plane/measure.ts';
import { nearestOtherM } from '#geo-core/plane/nearest-other.ts';
import { boxOf, pointInRing } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { type SegmentTree, segmentTree, someSegment } from '#geo-core/plane/segment-tree.ts';
import type { GroundStrait } from './close-straits.ts';

/** One part of the ground with what was arranged in it. `bays` without their figures. */
export type ArrangedPart = {
  readonly part: number;
  readonly ground: readonly Polygon[];
  readonly areas: readonly InsetPolygon[];
  readonly closed: readonly GroundStrait[];
  readonly left: readonly GroundStrait[];
  readonly bays: readonly Omit<Bay, 'id' | 'arrangement'>[];
  /** What its wire keeps off. */
  readonly keepOuts: readonly KeepOut[];
};
export type LaidWire = { readonly loops: readonly Loop[]; readonly bays: readonly Bay[] };

/** The narrowest throat that is considered where the rules ask for no gap, metres. */
const LEAST_THROAT_M = 0.1;
/** An outline this near a wall runs along it, metres. */
const ON_WALL_M = 0.000_05;
/** A strait belongs to the loop that its narrowest place comes this near to, metres. */
const BESIDE_M = 0.01;

/**
 * Every outer ring of the working area is a boundary loop, every hole a keep-out loop. Keep-out loops and bays say how much wire
 * they take, a loop of its own or shared with twice the shortest lead, a bay what it adds to the boundary wire, and what the next best arrangement would have cost.
 */
export function layLoops(parts: readonly ArrangedPart[], edges: readonly EdgedPolygon[], rules: Rules): LaidWire {
  const loops: Loop[] = [];
  const bays: Bay[] = [];
  let [boundaries, keepOutLoops, area] = [0, 0, 0];
  for (const arranged of parts) {
    const { part, areas, keepOuts } = arranged;
    const rings = areas.flatMap(({ outer, holes }) => [outer, ...holes]);
    const hasHoles = rings.length > areas.length;
    const walls = hasHoles ? wallsOf(rings, 0) : undefined;
    let own = 0;
    for (const { outer, holes } of areas) {
      const id = `boundary-${++boundaries}`;
      loops.push({ area, part, id, kind: 'boundary', ring: outer, lengthM: ringLengthM(outer), around: [] });
      own++;
      for (const hole of holes) {
        const lengthM = ringLengthM(hole);
        const around = goesAround(hole, keepOuts, edges[part]);
        const leadM = walls ? nearestOtherM(walls, rings, own, Math.max(rules.wireGapM, 1)) : 0;
        const arrangement = ofLoop(hole, lengthM, leadM, around.length, arranged, rules);
        loops.push({
          area,
          part,
          id: `keep-out-loop-${++keepOutLoops}`,
          kind: 'keep-out',
          ring: hole,
          lengthM,
          around,
          arrangement,
        });
        own++;
      }
      area++;
    }
    for (const bay of arranged.bays)
      bays.push({ ...bay, id: `bay-${bays.length + 1}`, arrangement: ofBay(bay.polygon, arranged, rules) });
  }
  return { loops, bays };
}

/** Pointers of the keep-outs in a hole, and of what stands beyond the edges of the ground's own holes in it. */
function goesAround(hole: Ring, keepOuts: readonly KeepOut[], { holes }: EdgedPolygon): string[] {
  const holds = holdsPoint(hole);
  const kept = keepOuts
    .filter(({ polygons }) => polygons.some(({ outer }) => holds(outer[0], outer[1])))
    .map(({ feature }) => feature.pointer);
  const built = holes
    .filter(({ ring }) => holds(ring[0], ring[1]))
    .flatMap(({ from }) => from.filter((pointer) => pointer !== 'unknown'));
  return [...new Set([...kept, ...built])];
}

/** Point in ring, with its box asked first. */
function holdsPoint(ring: Ring): (x: number, y: number) => boolean {
  const [minX, minY, maxX, maxY] = boxOf(ring);
  return (x, y) => x >= minX && x <= maxX && y >= minY && y <= maxY && pointInRing(ring, x, y);
}

function ofLoop(
  hole: Ring,
  lengthM: number,
  leadM: number,
  count: number,
  { closed, left }: ArrangedPart,
  rules: Rules,
): Arrangement {
  const wireM = lengthM + 2 * leadM;
  const inside = closed.filter(({ inside: { x, y } }) => pointInRing(hole, x, y));
  if (inside.length > 0) return { kind: 'shared-loop', ...costs(wireM, inside, rules) };
  if (count > 1) return { kind: 'shared-loop', wireM, costM: wireM };
  const worth = rules.handMowCostMPerM2;
  const throatM = Math.max(rules.wireGapM, LEAST_THROAT_M);
  const closings = left.length === 0 ? [] : straitsBeside(hole, left).map(({ costM }) => costM);
  const cheapestM = closings.length > 0 ? Math.min(...closings) : 2 * (leadM - throatM) + worth * leadM * throatM;
  return { kind: 'own-loop', wireM, costM: wireM, nextBestM: wireM - 2 * leadM + cheapestM };
}

function straitsBeside(hole: Ring, straits: readonly GroundStrait[]): GroundStrait[] {
  const tree = segmentTree(ringSegments([hole]));
  return straits.filter(({ at, clearM }) => isNear(tree, at.x, at.y, clearM / 2 + BESIDE_M));
}

/** A bay adds what it has of boundary beyond the stretch of wire that it replaces. */
function ofBay(polygon: Polygon, { ground, closed }: ArrangedPart, rules: Rules): Arrangement {
  const tree = segmentTree(ringSegments(ground.map(({ outer }) => outer)));
  const { outer } = polygon;
  let wireM = 0;
  for (let i = 0; i < outer.length; i += 2) {
    const next = (i + 2) % outer.length;
    const lengthM = distanceM(outer[i], outer[i + 1], outer[next], outer[next + 1]);
    const isOnWall = isNear(tree, (outer[i] + outer[next]) / 2, (outer[i + 1] + outer[next + 1]) / 2, ON_WALL_M);
    wireM += isOnWall ? -lengthM : lengthM;
  }
  const inside = closed.filter(({ inside: { x, y } }) => pointInRing(outer, x, y));
  return inside.length > 0 ? { kind: 'bay', ...costs(wireM, inside, rules) } : { kind: 'bay', wireM, costM: wireM };
}

/** Cost of an arrangement by closed straits, and of the loops that it would be with leads through them instead. */
function costs(wireM: number, closed: readonly GroundStrait[], rules: Rules): Omit<Arrangement, 'kind'> {
  const costM = closed.reduce((sum, { areaM2 }) => sum + areaM2 * rules.handMowCostMPerM2, wireM);
  return { wireM, costM, nextBestM: closed.reduce((sum, strait) => sum - strait.costM + 2 * strait.clearM, costM) };
}

function isNear(tree: SegmentTree, x: number, y: number, reachM: number): boolean {
  const { at } = tree;
  return someSegment(tree, x - reachM, y - reachM, x + reachM, y + reachM, (segment) => {
    const k = 4 * segment;
    return pointSegmentM(x, y, at[k], at[k + 1], at[k + 2], at[k + 3]) <= reachM;
  });
}
