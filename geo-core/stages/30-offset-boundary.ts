import { narrowCorridors } from '#geo-core/arranging/narrow-corridors.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { EdgedPolygon, InsetPolygon } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Polygon } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { insetPolygon } from '#geo-core/plane/inset-polygon.ts';
import { polygonAreaM2 } from '#geo-core/plane/measure.ts';
import { withoutShortEdges, withoutSpikes } from '#geo-core/plane/polygons.ts';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { widestCircle } from '#geo-core/plane/widest-circle.ts';

export type OffsetBoundaryInput = { readonly edges: readonly EdgedPolygon[]; readonly gridM: number };

/** Stretches of wire shorter than this are where arcs meet, ground narrower is an edge without a distance gone along twice: half the audit's allowance, metres. */
const SHORTEST_WIRE_M = 0.000_05;
/** A wall this near a place is the one that it touches, metres. */
const ON_WALL_M = 0.001;
const MOST_PLACES_SAID = 5;
/** Ground inside the wire smaller than this holds no machine: it is said, not laid. */
const LEAST_PART_M2 = 0.25;

/**
 * Edges -> ground inside the wire: every point at least offset_i from every stretch i of its own lawn's edge, measured
 * inside the lawn. One positive-fill sweep of the raw contours for each part of the ground; exact on straight stretches,
 * arcs at most 1 mm outside the true curve.
 */
export function offsetBoundary({ edges, gridM }: OffsetBoundaryInput, rules: Rules): Staged<InsetPolygon[]> {
  const output: InsetPolygon[] = [];
  const findings: Finding[] = [];
  edges.forEach((polygon, part) => {
    const inset = insetPolygon([polygon.outer, ...polygon.holes], rules.reflexJoin, gridM);
    const kept = inset
      .filter((each) => polygonAreaM2(each) >= LEAST_PART_M2)
      .map((each) => withoutShortEdges(withoutSpikes(each, SHORTEST_WIRE_M), SHORTEST_WIRE_M));
    if (kept.length === 0) findings.push(lawnVanished(polygon));
    if (kept.length > 1) findings.push(...lawnSplit(polygon, kept, gridM, rules));
    for (const each of kept) output.push({ ...each, part });
  });
  return { output, findings };
}

function lawnVanished(polygon: EdgedPolygon): Finding {
  const areaM2 = polygonAreaM2(plain(polygon));
  const widest = widestCircle(plain(polygon));
  const widthM = 2 * (widest?.radiusM ?? 0);
  const at = widest?.at ?? { x: polygon.outer.ring[0], y: polygon.outer.ring[1] };
  const neededM = 2 * offsetNear(polygon, at, widthM / 2 + ON_WALL_M);
  return {
    code: 'offset-boundary.lawn-vanished',
    severity: areaM2 > 20 ? 'caution' : 'note',
    message: `A lawn of ${areaM2.toFixed(1)} m² leaves no ground inside the wire: at its widest place it is ${widthM.toFixed(2)} m wide, and the wire must keep ${(neededM / 2).toFixed(2)} m from either side.`,
    advice: `Mow it by hand, widen it by more than ${Math.max(0, neededM - widthM).toFixed(2)} m, or check what lies beyond its edges: a smaller offset may be allowed.`,
    value: widthM,
    limit: neededM,
    unit: 'm',
    at,
  };
}

/** One finding for each corridor where the lawn is too narrow for both offsets, the one that lacks most first. */
function lawnSplit(polygon: EdgedPolygon, pieces: readonly Polygon[], gridM: number, rules: Rules): Finding[] {
  const places = narrowCorridors([polygon.outer, ...polygon.holes], [], pieces, 0, gridM).filter(({ parts }) => parts);
  if (places.length === 0) return [lawnSplitSomewhere(pieces)];
  return places.slice(0, MOST_PLACES_SAID).map(({ widthM, offsetsM: neededM, at }) => ({
    code: 'offset-boundary.lawn-split',
    severity: 'note',
    message: `The wire parts one lawn into ${pieces.length} pieces here: it is ${widthM.toFixed(2)} m wide, and the offsets of its two sides take ${neededM.toFixed(2)} m.`,
    advice: `Widen it by ${(neededM - widthM + rules.driveWidthM).toFixed(2)} m to let the machine through; as it is, only a lead can pass.`,
    value: widthM,
    limit: neededM,
    unit: 'm',
    at,
  }));
}

/** Where no two walls face each other: the pieces hang together by corners alone. */
function lawnSplitSomewhere(pieces: readonly Polygon[]): Finding {
  const { outer } = pieces.toSorted((a, b) => polygonAreaM2(a) - polygonAreaM2(b))[0];
  return {
    code: 'offset-boundary.lawn-split',
    severity: 'note',
    message: `The wire parts one lawn into ${pieces.length} pieces: this one hangs on the rest by lawn narrower than its offsets.`,
    advice: 'Widen it to let the machine through; as it is, only a lead can pass.',
    at: { x: outer[0], y: outer[1] },
  };
}

function plain({ outer, holes }: EdgedPolygon): Polygon {
  return { outer: outer.ring, holes: holes.map(({ ring }) => ring) };
}

/** The largest offset of the edges within reach of a place. */
function offsetNear(polygon: EdgedPolygon, { x, y }: PlanePoint, reachM: number): number {
  let mostM = 0;
  for (const { ring, offsetsM } of [polygon.outer, ...polygon.holes]) {
    for (let i = 0; i < ring.length; i += 2) {
      const next = (i + 2) % ring.length;
      if (offsetsM[i / 2] <= mostM) continue;
      if (pointSegmentM(x, y, ring[i], ring[i + 1], ring[next], ring[next + 1]) <= reachM) mostM = offsetsM[i / 2];
    }
  }
  return mostM;
}
