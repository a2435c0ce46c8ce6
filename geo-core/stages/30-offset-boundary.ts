import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { EdgedPolygon, EdgeRing, InsetPolygon } from '#geo-core/model/plane-plan.ts';
import type { PlanePoint, Ring } from '#geo-core/model/position.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { insetPolygon } from '#geo-core/plane/inset-polygon.ts';
import { polygonAreaM2, ringAreaM2, ringLengthM } from '#geo-core/plane/measure.ts';
import { withoutShortEdges } from '#geo-core/plane/polygons.ts';

export type OffsetBoundaryInput = { readonly edges: readonly EdgedPolygon[]; readonly gridM: number };

/** Stretches of wire shorter than this are where arcs meet: half the audit's allowance, metres. */
const SHORTEST_WIRE_M = 0.000_05;
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
      .map((each) => withoutShortEdges(each, SHORTEST_WIRE_M));
    if (kept.length === 0) findings.push(lawnVanished(polygon.outer));
    if (kept.length > 1) findings.push(lawnSplit(polygon.outer, kept.length, rules));
    for (const each of kept) output.push({ ...each, part });
  });
  return { output, findings };
}

function lawnVanished(outer: EdgeRing): Finding {
  const offsetM = Math.max(...outer.offsetsM);
  const areaM2 = ringAreaM2(outer.ring);
  const widthM = (2 * areaM2) / ringLengthM(outer.ring);
  return {
    code: 'offset-boundary.lawn-vanished',
    severity: areaM2 > 20 ? 'caution' : 'note',
    message: `A lawn of ${areaM2.toFixed(1)} m² (about ${widthM.toFixed(2)} m wide) leaves no ground inside a wire that keeps up to ${offsetM.toFixed(2)} m from its edges.`,
    advice: 'Mow it by hand, widen it, or check what lies beyond its edges: a smaller offset may be allowed.',
    value: widthM,
    limit: 2 * offsetM,
    unit: 'm',
    at: middleOf(outer.ring),
  };
}

function lawnSplit(outer: EdgeRing, count: number, rules: Rules): Finding {
  return {
    code: 'offset-boundary.lawn-split',
    severity: 'note',
    message: `The wire leaves ${count} separate pieces of one lawn: between them the lawn is too narrow for two wires.`,
    advice: `The pieces are joined by a lead where the rule set allows; the machine needs ${rules.driveWidthM.toFixed(2)} m between wires to pass.`,
    value: count,
    limit: 1,
    unit: 'pieces',
    at: middleOf(outer.ring),
  };
}

function middleOf(ring: Ring): PlanePoint {
  let [minX, minY, maxX, maxY] = [ring[0], ring[1], ring[0], ring[1]];
  for (let i = 2; i < ring.length; i += 2) {
    minX = Math.min(minX, ring[i]);
    maxX = Math.max(maxX, ring[i]);
    minY = Math.min(minY, ring[i + 1]);
    maxY = Math.max(maxY, ring[i + 1]);
  }
  return { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
}
