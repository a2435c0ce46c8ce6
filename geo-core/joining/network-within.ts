import type { Loop } from '#geo-core/model/plane-plan.ts';
import type { Ring } from '#geo-core/model/position.ts';
import type { Network } from './grow-network.ts';

/** Grows a network over loops, the first of which is the root, with rings that no lead may touch. */
export type Grow = (loops: readonly Loop[], laid: readonly Ring[]) => Network;

export type WithinLimit = {
  readonly network: Network;
  /** Loops that could be joined, but would make the wire of one signal unit too long. */
  readonly parted: readonly Loop[];
  /** Wire of all that could be joined, metres. */
  readonly togetherM: number;
};

/**
 * The network of a root, no longer than one signal unit drives where whole areas can be left out: every boundary loop takes its keep-out
 * loops along. From the root on along the leads, areas are taken in the order in which they are joined, each that still fits (a
 * heuristic); then the network is grown anew over them. The root's own area is never parted.
 */
export function networkWithin(mostM: number, loops: readonly Loop[], laid: readonly Ring[], grow: Grow): WithinLimit {
  const whole = grow(loops, laid);
  const togetherM = wireM(whole);
  if (togetherM <= mostM) return { network: whole, parted: [], togetherM };
  const areas = areasWithin(whole, mostM);
  for (let count = areas.length; count > 0; count--) {
    const kept = new Set(areas.slice(0, count));
    const parted = whole.loops.filter(({ area }) => !kept.has(area));
    if (parted.length === 0) break;
    const walls = [...laid, ...parted.map(({ ring }) => ring)];
    const network = grow(
      whole.loops.filter(({ area }) => kept.has(area)),
      walls,
    );
    if (count === 1 || wireM(network) <= mostM) return { network, parted, togetherM };
  }
  return { network: whole, parted: [], togetherM };
}

function wireM({ loops, leads }: Network): number {
  const loopsM = loops.reduce((sum, { lengthM }) => sum + lengthM, 0);
  return leads.reduce((sum, { lengthM }) => sum + 2 * lengthM, loopsM);
}

/** The root's area and those that fit in with it, with the leads as they are. */
function areasWithin({ root, loops, leads }: Network, mostM: number): number[] {
  const areaOf = new Map(loops.map(({ id, area }) => [id, area]));
  const ownM = new Map<number, number>();
  const add = (area: number, lengthM: number): Map<number, number> => ownM.set(area, (ownM.get(area) ?? 0) + lengthM);
  for (const { area, lengthM } of loops) add(area, lengthM);
  for (const { id, connects, lengthM } of leads) {
    const area = areaOf.get(connects[1]) ?? root.area;
    areaOf.set(id, area);
    add(area, 2 * lengthM);
  }
  const kept = [root.area];
  let sumM = ownM.get(root.area) ?? 0;
  for (const { connects } of leads) {
    const [from, to] = connects.map((id) => areaOf.get(id) ?? root.area);
    const areaM = ownM.get(to) ?? 0;
    if (kept.includes(to) || !kept.includes(from) || sumM + areaM > mostM) continue;
    kept.push(to);
    sumM += areaM;
  }
  return kept;
}

/** Everything of a network that no other lead may touch; a lead is a ring there and back. */
export function wireRings({ loops, leads }: Network): Ring[] {
  const there = leads.map(({ line }) => {
    const back: number[] = [];
    for (let k = line.length - 4; k > 0; k -= 2) back.push(line[k], line[k + 1]);
    return Float64Array.of(...line, ...back);
  });
  return [...loops.map(({ ring }) => ring), ...there];
}
