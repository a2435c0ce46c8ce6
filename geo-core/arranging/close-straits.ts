import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { type FacingPlaces, facingPlaces, type Walls, wallsOf } from '#geo-core/plane/facing-walls.ts';
import { interiorPoints } from '#geo-core/plane/interior-points.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM, polygonAreaM2, ringAreaM2 } from '#geo-core/plane/measure.ts';
import { narrowPieces, withoutPieces } from '#geo-core/plane/narrow-places.ts';
import { boxOf, ringsOf } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { someSegment } from '#geo-core/plane/segment-tree.ts';
import { cheapestClosings, type LeadChoice, type Strait } from './cheapest-closings.ts';

/** A strait as ground: what closing it takes from the lawn, and how narrow it is. */
export type GroundStrait = Strait & {
  readonly piece: Polygon;
  readonly areaM2: number;
  /** Throats minus walls, metres; negative where wire is saved. */
  readonly wireM: number;
  /** Where it is narrowest, and how wide there. */
  readonly at: PlanePoint;
  readonly clearM: number;
  /** A place in the piece. */
  readonly inside: PlanePoint;
};
export type ClosedStraits = {
  readonly rings: readonly Ring[];
  readonly closed: readonly GroundStrait[];
  /** Straits that might have been closed, but stay open. */
  readonly left: readonly GroundStrait[];
};

/** An outline this near a wall runs along it, metres. */
const ON_WALL_M = 0.000_05;
const MOST_PLACES = 20_000;
/** Islands of driven or mown ground smaller than this are none, square metres. */
const LEAST_ISLAND_M2 = 0.01;

/** Closing a strait pays up to this width: two walls are saved for each metre of throat, lawn as wide as the strait is lost. */
export function payingWidthM({ handMowCostMPerM2 }: Rules): number {
  return 2 / handMowCostMPerM2;
}

/**
 * Closes the straits between loops that cost more wire than the lawn in them is worth: narrower than the paying width, whose
 * closing the cheapest tree of leads and closings takes. Outlines that cost wire and area at fixed worth end in arcs of half that
 * width, so the pieces that no disc of that width reaches are the straits as they are best closed.
 *
 *        wall saved                    cost of closing = throats - walls + worth of the lawn
 *     ------+=======+------            saved: twice the lead that is needed no more
 *     throat )lost (  throat
 *     ------+=======+------
 *        wall saved
 *
 * The ground stays in one piece, and so does what the machine drives and mows.
 */
export function closeStraits(rings: readonly Ring[], rules: Rules, gridM: number): ClosedStraits {
  const none = { rings, closed: [], left: [] };
  const widthM = payingWidthM(rules);
  if (rings.length < 2 || widthM <= rules.wireGapM) return none;
  const walls = wallsOf(rings, widthM / 2);
  const between = facingPlaces(walls, 0, MOST_PLACES).filter((places) => loopsOf(walls, places).length === 2);
  if (between.length === 0) return none;
  const straits = narrowPieces(rings, widthM, gridM).pieces.flatMap((piece) => straitOf(piece, walls, between, rules));
  const chosen = cheapestClosings(rings.length, straits, leadChoices(walls, between)).map((i) => straits[i]);
  const closed = keepingWhole(rings, chosen, rules, gridM);
  const left = straits.filter((strait) => !closed.includes(strait));
  if (closed.length === 0) return { ...none, left };
  return {
    rings: withoutPieces(
      rings,
      closed.map(({ piece }) => piece),
      gridM,
    ),
    closed,
    left,
  };
}

function loopsOf({ ringOf }: Walls, { segmentA, segmentB }: FacingPlaces): number[] {
  return [...new Set([ringOf[segmentA], ringOf[segmentB]])];
}

/** The shortest lead between each two loops that face each other. */
function leadChoices(walls: Walls, between: readonly FacingPlaces[]): LeadChoice[] {
  const shortest = new Map<string, LeadChoice>();
  for (const places of between) {
    const [a, b] = loopsOf(walls, places).toSorted((one, other) => one - other);
    const known = shortest.get(`${a} ${b}`);
    if (known === undefined || places.widthM < known.lengthM)
      shortest.set(`${a} ${b}`, { loops: [a, b], lengthM: places.widthM });
  }
  return [...shortest.values()];
}

/** A piece as a strait: one that meets two loops or more, each along one stretch only, so that taking it out shuts nothing in. */
function straitOf(piece: Polygon, walls: Walls, between: readonly FacingPlaces[], rules: Rules): GroundStrait[] {
  const stretches = new Map<number, number>();
  let [wallM, throatM] = [0, 0];
  for (const ring of ringsOf([piece])) {
    const faced = facedLoops(ring, walls);
    faced.forEach((loop, i) => {
      const [k, next] = [2 * i, (2 * i + 2) % ring.length];
      const lengthM = distanceM(ring[k], ring[k + 1], ring[next], ring[next + 1]);
      if (loop < 0) throatM += lengthM;
      else wallM += lengthM;
      const isStart =
        i === 0 ? faced.every((other) => other === loop) || faced[faced.length - 1] !== loop : faced[i - 1] !== loop;
      if (loop >= 0 && isStart) stretches.set(loop, (stretches.get(loop) ?? 0) + 1);
    });
  }
  if (stretches.size < 2 || [...stretches.values()].some((count) => count > 1)) return [];
  const reachM = payingWidthM(rules) / 2;
  const [minX, minY, maxX, maxY] = boxOf(piece.outer);
  const places = between.filter((each) => {
    const [x, y] = [(each.a.x + each.b.x) / 2, (each.a.y + each.b.y) / 2];
    const isBeside = x > minX - reachM && x < maxX + reachM && y > minY - reachM && y < maxY + reachM;
    return isBeside && loopsOf(walls, each).every((loop) => stretches.has(loop));
  });
  const [inside] = interiorPoints(piece, 1);
  if (places.length === 0 || inside === undefined) return [];
  const { a, b, widthM } = places.reduce((least, each) => (each.widthM < least.widthM ? each : least));
  const areaM2 = polygonAreaM2(piece);
  const wireM = throatM - wallM;
  return [
    {
      loops: [...stretches.keys()].toSorted((one, other) => one - other),
      costM: wireM + areaM2 * rules.handMowCostMPerM2,
      piece,
      areaM2,
      wireM,
      at: { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 },
      clearM: widthM,
      inside,
    },
  ];
}

/** Which loop each edge of an outline runs along; -1 where it faces open ground. */
function facedLoops(outline: Ring, { tree, ringOf }: Walls): number[] {
  const { at } = tree;
  return Array.from({ length: outline.length / 2 }, (_, i) => {
    const [k, next] = [2 * i, (2 * i + 2) % outline.length];
    const [x, y] = [(outline[k] + outline[next]) / 2, (outline[k + 1] + outline[next + 1]) / 2];
    let loop = -1;
    someSegment(tree, x - ON_WALL_M, y - ON_WALL_M, x + ON_WALL_M, y + ON_WALL_M, (segment) => {
      const s = 4 * segment;
      if (pointSegmentM(x, y, at[s], at[s + 1], at[s + 2], at[s + 3]) >= ON_WALL_M) return false;
      loop = ringOf[segment];
      return true;
    });
    return loop;
  });
}

/** All straits that were chosen, or, where those together part what was one, as many as do not, the cheapest first. */
function keepingWhole(
  rings: readonly Ring[],
  chosen: readonly GroundStrait[],
  rules: Rules,
  gridM: number,
): readonly GroundStrait[] {
  const before = islandCounts(rings, rules, gridM);
  const isWhole = (straits: readonly GroundStrait[]): boolean => {
    const left = withoutPieces(
      rings,
      straits.map(({ piece }) => piece),
      gridM,
    );
    return islandCounts(left, rules, gridM).every((count, i) => count === before[i]);
  };
  if (chosen.length === 0 || isWhole(chosen)) return chosen;
  let kept: readonly GroundStrait[] = [];
  for (const strait of chosen.toSorted((a, b) => a.costM - b.costM))
    if (isWhole([...kept, strait])) kept = [...kept, strait];
  return kept;
}

/** In how many pieces the ground, what the machine drives on and what it mows throughout are. */
function islandCounts(rings: readonly Ring[], { driveWidthM, mowWidthM }: Rules, gridM: number): number[] {
  return [0, driveWidthM, mowWidthM].map((widthM) => {
    const core = widthM === 0 ? rings : kernel().offset(rings, -widthM / 2, gridM);
    return core.filter((ring) => ringAreaM2(ring) > LEAST_ISLAND_M2).length;
  });
}
