import type { PlanePoint, Polygon, Ring } from '#geo-core/model/position.ts';
import { ringSegments } from './box-index.ts';
import { type FacingPlaces, facingPlaces, wallsOf } from './facing-walls.ts';
import { kernel } from './kernel.ts';
import { polygonAreaM2 } from './measure.ts';
import { nearly } from './nearly.ts';
import { pointInPolygon, polygonsFromRings, ringsOf } from './polygons.ts';
import { pointSegmentM } from './segment.ts';
import { segmentTree, someSegment } from './segment-tree.ts';

/** Ground too narrow for two wires, taken out. Rings bound ground on their left. */

/** The opening lets places this much under the gap pass, metres: grid and chords. */
const OPENING_SLACK_M = 0.000_2;
/** The opened ground is grown by this before it is compared, so that walls drop out of the comparison, metres. */
const WALL_SLACK_M = 0.000_3;
const LEAST_PIECE_M2 = 0.000_1;
/** An outline this near a wall runs along it, metres. */
const ON_WALL_M = 0.000_05;
/** Half the width of needles that are dropped after a cut, metres. */
const NEEDLE_M = 0.000_3;
/** Spikes of ground that are this narrow farther in than half of it are cut off however short they are, metres. */
const SPIKE_M = 0.1;
/** Half the width of cuts that are given back, metres. */
const HAIRLINE_M = 0.02;
/** Short necks are cut straight across, this wide, metres. */
const CUT_WIDTH_M = 0.1;
const MOST_ROUNDS = 8;
const MOST_PLACES = 2000;

/** The ground without necks, gaps and fingers narrower than gapM. Returns the same rings where there are none. */
export function withoutNarrowPlaces(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  if (gapM <= 0) return rings;
  const wide = narrowPlaces(rings, gapM, 1).length === 0 ? rings : withoutNecks(rings, gapM, gridM);
  const hasSpikes = narrowPlaces(wide, SPIKE_M, 1).length > 0;
  return hasSpikes ? withoutNarrowPieces(wide, SPIKE_M, gridM) : wide;
}

function withoutNecks(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  let ground: readonly Ring[] = withoutNarrowPieces(rings, gapM, gridM);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const places = narrowPlaces(ground, gapM, MOST_PLACES);
    if (places.length === 0) break;
    ground = clean(kernel().difference(ground, takenAt(places, ground, gapM, gridM), gridM), gridM);
  }
  return ground === rings ? rings : withoutHairlines(ground, rings, gridM);
}

/** What goes at narrow places: the whole piece that no disc reaches where one is in it; a cut across where discs of both sides meet in the neck. */
function takenAt(places: readonly FacingPlaces[], ground: readonly Ring[], gapM: number, gridM: number): Ring[] {
  const { pieces } = narrowPieces(ground, gapM, gridM);
  const holds = (piece: Polygon, { a, b }: FacingPlaces) => pointInPolygon(piece, (a.x + b.x) / 2, (a.y + b.y) / 2);
  const shut = pieces.filter((piece) => places.some((place) => holds(piece, place)));
  const others = places.filter((place) => !shut.some((piece) => holds(piece, place)));
  return [...ringsOf(shut), ...apartFromEachOther(others, gapM).map(cutAcross)];
}

/** Gives back cuts so thin that the wire would run out and back along one line: a closing, never beyond the first ground. */
function withoutHairlines(ground: readonly Ring[], first: readonly Ring[], gridM: number): Ring[] {
  const grown = kernel().offset(ground, HAIRLINE_M, gridM, 'mitre');
  return clean(kernel().intersection(kernel().offset(grown, -HAIRLINE_M, gridM, 'mitre'), first, gridM), gridM);
}

function narrowPlaces(rings: readonly Ring[], gapM: number, most: number): FacingPlaces[] {
  return facingPlaces(wallsOf(rings, gapM / 2), 4 * OPENING_SLACK_M, most);
}

/** The narrowest places, none nearer to a narrower one than half a gap: those are for the next round. */
function apartFromEachOther(places: readonly FacingPlaces[], gapM: number): FacingPlaces[] {
  const chosen: FacingPlaces[] = [];
  const nearM = gapM / 2;
  const isApart = (place: FacingPlaces) =>
    chosen.every((other) => {
      const dx = (place.a.x + place.b.x - other.a.x - other.b.x) / 2;
      const dy = (place.a.y + place.b.y - other.a.y - other.b.y) / 2;
      return dx * dx + dy * dy > nearM * nearM;
    });
  for (const place of places.toSorted(byWidth)) if (isApart(place)) chosen.push(place);
  return chosen;
}

function byWidth(p: FacingPlaces, q: FacingPlaces): number {
  return nearly(p.widthM, q.widthM) || nearly(p.a.y + p.b.y, q.a.y + q.b.y) || p.a.x + p.b.x - q.a.x - q.b.x;
}

/** Takes out the pieces that no disc of the gap's width reaches: those between two open places, and fingers deeper than it. */
function withoutNarrowPieces(rings: readonly Ring[], gapM: number, gridM: number): readonly Ring[] {
  const { pieces, open } = narrowPieces(rings, gapM, gridM);
  const nearWall = nearnessTo(rings);
  const nearOpen = nearnessTo(open);
  const depthM = gapM / 2 - OPENING_SLACK_M;
  const cut = pieces.filter(({ outer }) => contactsOf(outer, nearWall) !== 1 || reachesDeeper(outer, depthM, nearOpen));
  return cut.length === 0 ? rings : withoutPieces(rings, cut, gridM);
}

/** The pieces of ground that no disc of a width reaches, and the outlines of what discs reach. */
export function narrowPieces(
  rings: readonly Ring[],
  widthM: number,
  gridM: number,
): { readonly pieces: readonly Polygon[]; readonly open: readonly Ring[] } {
  const radiusM = widthM / 2 - OPENING_SLACK_M;
  const eroded = kernel().offset(rings, -radiusM, gridM);
  const open = eroded.length === 0 ? [] : kernel().offset(eroded, radiusM + WALL_SLACK_M, gridM);
  const rest = polygonsFromRings(kernel().difference(rings, open, gridM));
  return { pieces: rest.filter((piece) => polygonAreaM2(piece) > LEAST_PIECE_M2), open };
}

/** The ground without some of its pieces, clean along the cuts. */
export function withoutPieces(rings: readonly Ring[], pieces: readonly Polygon[], gridM: number): Ring[] {
  return clean(kernel().difference(rings, ringsOf(pieces), gridM), gridM);
}

/** How many separate stretches of a piece's outline face open ground instead of a wall. */
function contactsOf(outline: Ring, nearWall: Nearness): number {
  const faces: boolean[] = [];
  for (let i = 0; i < outline.length; i += 2) {
    const next = (i + 2) % outline.length;
    faces.push(!nearWall((outline[i] + outline[next]) / 2, (outline[i + 1] + outline[next + 1]) / 2, ON_WALL_M));
  }
  return faces.filter((face, i) => face && !faces[(i + faces.length - 1) % faces.length]).length;
}

/** Whether a piece has a corner farther than depthM from open ground. */
function reachesDeeper(outline: Ring, depthM: number, nearOpen: Nearness): boolean {
  for (let i = 0; i < outline.length; i += 2) if (!nearOpen(outline[i], outline[i + 1], depthM)) return true;
  return false;
}

/** Whether a point lies within reachM of any ring. */
type Nearness = (x: number, y: number, reachM: number) => boolean;

function nearnessTo(rings: readonly Ring[]): Nearness {
  const at = ringSegments(rings);
  const tree = segmentTree(at);
  const isNear = (x: number, y: number, reachM: number) => (i: number) =>
    pointSegmentM(x, y, at[4 * i], at[4 * i + 1], at[4 * i + 2], at[4 * i + 3]) < reachM;
  return (x, y, reachM) => someSegment(tree, x - reachM, y - reachM, x + reachM, y + reachM, isNear(x, y, reachM));
}

/** A rectangle over the neck from wall to wall and a little beyond. */
function cutAcross({ a, b, widthM }: FacingPlaces): Ring {
  const [ux, uy] = widthM > 0 ? [(b.x - a.x) / widthM, (b.y - a.y) / widthM] : [1, 0];
  const [along, aside] = [CUT_WIDTH_M / 2, CUT_WIDTH_M / 2];
  const corner = (p: PlanePoint, forward: number, side: number): [number, number] => [
    p.x + ux * forward - uy * side,
    p.y + uy * forward + ux * side,
  ];
  return Float64Array.from([
    ...corner(a, -along, -aside),
    ...corner(b, along, -aside),
    ...corner(b, along, aside),
    ...corner(a, -along, aside),
  ]);
}

/** Drops what the comparison leaves behind, needles along walls, pinches and crumbs, by an opening that keeps corners. */
function clean(rings: readonly Ring[], gridM: number): Ring[] {
  const shrunk = kernel().offset(rings, -NEEDLE_M, gridM, 'mitre');
  const opened = polygonsFromRings(kernel().offset(shrunk, NEEDLE_M, gridM, 'mitre'));
  return ringsOf(opened.filter((polygon) => polygonAreaM2(polygon) > 100 * LEAST_PIECE_M2));
}
