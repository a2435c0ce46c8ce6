import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import { type FacingPlaces, facingPlaces, wallsOf } from '#geo-core/plane/facing-walls.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { pointInPolygon, polygonsFromRings } from '#geo-core/plane/polygons.ts';
import { segmentSegmentM } from '#geo-core/plane/segment.ts';

/** A ring that bounds ground on its left, and the distance that the wire keeps from each of its edges. */
export type KeptRing = { readonly ring: Ring; readonly offsetsM: ArrayLike<number> };

/** Ground too narrow for what the wires on its two sides need. */
export type NarrowCorridor = {
  /** Clear width between the walls at its narrowest place, metres. */
  readonly widthM: number;
  /** What the two offsets take there, metres. */
  readonly offsetsM: number;
  readonly at: PlanePoint;
  /** Whether different pieces of open ground lie at its ends. */
  readonly parts: boolean;
};

const MOST_PLACES = 20_000;
const MOST_CHORDS = 150;
/** Chords nearer than this to a narrower one say nothing new, metres. */
const CHORDS_APART_M = 0.05;
/** Chords are cut this wide and this far beyond both walls, metres. */
const CUT_M = 0.001;

/** A chord from wall to wall, as a corridor, and the regions of ground on its two sides. */
type Chord = FacingPlaces & { readonly offsetsM: number };
type Link = { readonly chord: Chord; readonly from: number; readonly to: number };

/**
 * The corridors of ground between open pieces that are narrower than both offsets and gapM together, each at its narrowest place
 * (the one that lacks most). Things that stand on the ground are clockwise
 * rings that may overlap it and each other. The ground is cut along chords from wall to wall, narrowest first; dead ends are dropped, and
 * chords one after the other along one corridor are one.
 *
 *     +--------+          +-------+
 *     | piece  |==|==|====| piece |      three chords, one corridor
 *     +--------+          +--|----+      and a dead end
 */
export function narrowCorridors(
  ground: readonly KeptRing[],
  things: readonly KeptRing[],
  pieces: readonly Polygon[],
  gapM: number,
  gridM: number,
): NarrowCorridor[] {
  const chords = narrowChords([...ground, ...things], gapM);
  if (chords.length === 0) return [];
  const cut = kernel().difference(
    ground.map(({ ring }) => ring),
    [...things.map(({ ring }) => ring), ...chords.map(cutOf)],
    gridM,
  );
  const regions = polygonsFromRings(cut);
  const isOpen = regions.map((region) => pieces.some(({ outer }) => pointInPolygon(region, outer[0], outer[1])));
  const links = chords
    .map((chord): Link => ({ chord, from: regionBeside(regions, chord, 1), to: regionBeside(regions, chord, -1) }))
    .filter(({ from, to }) => from !== to && from >= 0 && to >= 0);
  return joinedInSeries(withoutDeadEnds(links, isOpen), isOpen)
    .map(({ chord, from, to }) => ({
      widthM: chord.widthM,
      offsetsM: chord.offsetsM,
      at: { x: (chord.a.x + chord.b.x) / 2, y: (chord.a.y + chord.b.y) / 2 },
      parts: from !== to,
    }))
    .toSorted((a, b) => b.offsetsM - b.widthM - (a.offsetsM - a.widthM));
}

/** Places narrower than what they need, the one that lacks most first, none across or close to another. */
function narrowChords(rings: readonly KeptRing[], gapM: number): Chord[] {
  const reachesM = Float64Array.from(
    rings.flatMap(({ offsetsM }) => Array.from(offsetsM, (offsetM) => offsetM + gapM / 2)),
  );
  const walls = wallsOf(
    rings.map(({ ring }) => ring),
    reachesM,
  );
  const chosen: Chord[] = [];
  const places = facingPlaces(walls, 0, MOST_PLACES)
    .map((places): Chord => ({ ...places, offsetsM: reachesM[places.segmentA] + reachesM[places.segmentB] - gapM }))
    .filter(({ widthM }) => widthM > 0)
    .toSorted((a, b) => a.widthM - a.offsetsM - (b.widthM - b.offsetsM));
  for (const place of places) {
    if (chosen.length === MOST_CHORDS) break;
    if (chosen.every((other) => chordsApartM(place, other) > CHORDS_APART_M)) chosen.push(place);
  }
  return chosen;
}

function chordsApartM(one: FacingPlaces, other: FacingPlaces): number {
  return segmentSegmentM(one.a.x, one.a.y, one.b.x, one.b.y, other.a.x, other.a.y, other.b.x, other.b.y);
}

/** A sliver of a rectangle over a chord, a little longer than it. */
function cutOf({ a, b, widthM }: FacingPlaces): Ring {
  const [ux, uy] = [((b.x - a.x) / widthM) * CUT_M, ((b.y - a.y) / widthM) * CUT_M];
  const [sx, sy] = [-uy / 2, ux / 2];
  return Float64Array.of(
    a.x - ux - sx,
    a.y - uy - sy,
    b.x + ux - sx,
    b.y + uy - sy,
    b.x + ux + sx,
    b.y + uy + sy,
    a.x - ux + sx,
    a.y - uy + sy,
  );
}

/** Which region lies beside the middle of a chord; -1 for none. */
function regionBeside(regions: readonly Polygon[], { a, b, widthM }: FacingPlaces, side: 1 | -1): number {
  const aside = (side * CUT_M) / widthM;
  const [x, y] = [(a.x + b.x) / 2 - (b.y - a.y) * aside, (a.y + b.y) / 2 + (b.x - a.x) * aside];
  return regions.findIndex((region) => pointInPolygon(region, x, y));
}

/** Regions without a piece that only one chord leads to are dropped, chord and all, until none is left. */
function withoutDeadEnds(links: readonly Link[], isOpen: readonly boolean[]): Link[] {
  let kept = [...links];
  for (;;) {
    const isDeadEnd = (region: number) => !isOpen[region] && chordsAt(kept, region).length === 1;
    const next = kept.filter(({ from, to }) => !isDeadEnd(from) && !isDeadEnd(to));
    if (next.length === kept.length) return next;
    kept = next;
  }
}

/** Two chords on both sides of a region without a piece are one corridor: the one that lacks more stands for it. */
function joinedInSeries(links: readonly Link[], isOpen: readonly boolean[]): Link[] {
  let kept = [...links];
  isOpen.forEach((open, region) => {
    const at = open ? [] : chordsAt(kept, region);
    if (at.length !== 2) return;
    const [one, other] = at;
    const lacks = ({ chord }: Link) => chord.offsetsM - chord.widthM;
    const ends = at.map(({ from, to }) => (from === region ? to : from));
    const joined = { chord: lacks(one) >= lacks(other) ? one.chord : other.chord, from: ends[0], to: ends[1] };
    kept = [...kept.filter((link) => link !== one && link !== other), joined];
  });
  return kept;
}

function chordsAt(links: readonly Link[], region: number): Link[] {
  return links.filter(({ from, to }) => from === region || to === region);
}
