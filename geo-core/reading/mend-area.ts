import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM, polygonPerimeterM, ringAreaM2, ringLengthM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf, withoutShortEdges } from '#geo-core/plane/polygons.ts';

/** Rings as drawn: of every polygon the outer ring, then holes. */
export type DrawnPolygons = readonly (readonly Ring[])[];

/** One thing mended: how much ground it moved (m2, what counts now minus what was drawn), how much outline it took (m), where. */
export type AreaMend = {
  readonly fault: 'crossing' | 'hole' | 'overlap' | 'near-vertices';
  readonly movedM2: number;
  readonly lostM: number;
  readonly at: PlanePoint;
};

/** Vertices of one outline nearer than this are one: a tenth of a millimetre, the last of nine decimals of a degree. */
export const NEAR_M = 0.000_1;
/** Area moved, or outline lost, that is worth a word: square metres, metres. */
const WORTH_SAYING_M2 = 0.000_1;
const WORTH_SAYING_M = 0.01;

/**
 * Areas as a surveyor would colour them. An outline that crosses itself goes by the even-odd rule: what it goes around twice does
 * not count. A hole takes what lies in its own outline, wherever other holes lie, and nothing outside it; parts that overlap count
 * once. A clean drawing comes back with its own vertices.
 *
 *      +------+          +-----+            +-----+
 *       \ 1  /           |  1  |  hole      |  1 +-+--+
 *        \  /            |   +-+--+         |    |1|  |
 *         \/             |   |0| 0|         +----+-+ 1|
 *         /\             |   +-+--+              +----+
 *        / 1\            +-----+
 *       +----+
 */
export function mendArea(
  drawn: DrawnPolygons,
  gridM: number,
): { readonly polygons: readonly Polygon[]; readonly mends: readonly AreaMend[] } {
  const { polygons, mends } = readOutlines(drawn, gridM);
  const spaced = polygons.map((polygon) => withoutShortEdges(polygon, NEAR_M)).filter(({ outer }) => outer.length >= 6);
  if (vertexCount(spaced) === vertexCount(polygons)) return { polygons, mends };
  const near: AreaMend = {
    fault: 'near-vertices',
    movedM2: totalAreaM2(spaced) - totalAreaM2(polygons),
    lostM: sum(polygons, polygonPerimeterM) - sum(spaced, polygonPerimeterM),
    at: nearAt(ringsOf(polygons)),
  };
  return { polygons: spaced, mends: [...mends, near] };
}

function readOutlines(
  drawn: DrawnPolygons,
  gridM: number,
): { readonly polygons: readonly Polygon[]; readonly mends: readonly AreaMend[] } {
  const rings = drawn.flat();
  const lengthM = sum(rings, ringLengthM);
  const drawnM2 = sum(drawn, ([outer, ...holes]) => sizeM2(outer) - sum(holes, sizeM2));
  const atOnce = polygonsFromRings(kernel().evenOdd(rings, gridM));
  // Half a cell's diagonal along every edge is what rounding alone may move.
  const roundedM2 = WORTH_SAYING_M2 + lengthM * gridM * Math.SQRT1_2;
  const lostM = lengthM - sum(atOnce, polygonPerimeterM);
  if (Math.abs(totalAreaM2(atOnce) - drawnM2) <= roundedM2 && Math.abs(lostM) <= WORTH_SAYING_M) {
    return { polygons: atOnce, mends: [] };
  }
  const parts = drawn.map((polygon) => mendPolygon(polygon, roundedM2, gridM));
  const ground = parts.flatMap((part) => part.ground);
  const whole = parts.length === 1 ? ground : kernel().positiveUnion(ground, gridM);
  const mends = parts.flatMap((part) => part.mends);
  const twiceM2 = sum(ground, ringAreaM2) - sum(whole, ringAreaM2);
  if (twiceM2 > roundedM2) {
    const outlineM = sum(ground, ringLengthM) - sum(whole, ringLengthM);
    mends.push({ fault: 'overlap', movedM2: -twiceM2, lostM: outlineM, at: twiceAt(ground, whole, gridM) });
  }
  return { polygons: polygonsFromRings(whole), mends };
}

function mendPolygon(
  [outer, ...holes]: readonly Ring[],
  roundedM2: number,
  gridM: number,
): { readonly ground: readonly Ring[]; readonly mends: AreaMend[] } {
  const mends: AreaMend[] = [];
  const readRing = (drawn: Ring): readonly Ring[] => {
    const read = kernel().evenOdd([drawn], gridM);
    const movedM2 = sum(read, ringAreaM2) - sizeM2(drawn);
    const lostM = ringLengthM(drawn) - sum(read, ringLengthM);
    if (Math.abs(movedM2) > roundedM2 || Math.abs(lostM) > WORTH_SAYING_M)
      mends.push({
        fault: 'crossing',
        movedM2: drawn === outer ? movedM2 : -movedM2,
        lostM,
        at: changedAt(drawn, read, gridM),
      });
    return read;
  };
  const inside = readRing(outer);
  if (holes.length === 0) return { ground: inside, mends };
  const each = holes.flatMap(readRing);
  const taken = kernel().positiveUnion(each, gridM);
  const ground = kernel().difference(inside, taken, gridM);
  const movedM2 = sum(ground, ringAreaM2) - (sum(inside, ringAreaM2) - sum(each, ringAreaM2));
  if (movedM2 > roundedM2) {
    const [outside] = kernel().difference(taken, inside, gridM);
    const place = outside === undefined ? twiceAt(each, taken, gridM) : { x: outside[0], y: outside[1] };
    const lostM = sum([...inside, ...each], ringLengthM) - sum(ground, ringLengthM);
    mends.push({ fault: 'hole', movedM2, lostM, at: place });
  }
  return { ground, mends };
}

/** Where the outline crosses itself: a vertex of the mended one that nobody drew; else a drawn vertex that is gone. */
function changedAt(drawn: Ring, read: readonly Ring[], gridM: number): PlanePoint {
  const cell = (ring: Ring, k: number) => `${Math.round(ring[k] / gridM)},${Math.round(ring[k + 1] / gridM)}`;
  const strange = (rings: readonly Ring[], known: readonly Ring[]): PlanePoint | undefined => {
    const cells = new Set(
      known.flatMap((ring) => Array.from({ length: ring.length / 2 }, (_, i) => cell(ring, 2 * i))),
    );
    for (const ring of rings)
      for (let k = 0; k < ring.length; k += 2) if (!cells.has(cell(ring, k))) return { x: ring[k], y: ring[k + 1] };
    return undefined;
  };
  return strange(read, [drawn]) ?? strange([drawn], read) ?? { x: drawn[0], y: drawn[1] };
}

/** The first vertex that is too near its neighbour. */
function nearAt(rings: readonly Ring[]): PlanePoint {
  for (const ring of rings) {
    let last = ring.length - 2;
    for (let k = 0; k < ring.length; last = k, k += 2)
      if (distanceM(ring[last], ring[last + 1], ring[k], ring[k + 1]) < NEAR_M) return { x: ring[k], y: ring[k + 1] };
  }
  return { x: rings[0][0], y: rings[0][1] };
}

function vertexCount(polygons: readonly Polygon[]): number {
  return sum(ringsOf(polygons), ({ length }) => length / 2);
}

/** A place in ground that counts twice; else the first vertex of all. */
function twiceAt(rings: readonly Ring[], once: readonly Ring[], gridM: number): PlanePoint {
  const [x, y] = kernel().difference(once, kernel().evenOdd(rings, gridM), gridM)[0] ?? rings[0];
  return { x, y };
}

function sizeM2(ring: Ring): number {
  return Math.abs(ringAreaM2(ring));
}

function sum<Item>(items: readonly Item[], measure: (item: Item) => number): number {
  return items.reduce((total, item) => total + measure(item), 0);
}
