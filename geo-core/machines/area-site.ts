import type { Polygon } from '#geo-core/model/position.ts';
import {
  GROUNDS,
  type PlaneFeature,
  type PlaneSite,
  type SiteFeatureInput,
  type SiteInput,
} from '#geo-core/model/site.ts';
import { pointToPolygonsM } from '#geo-core/plane/clearance-apart.ts';
import { kernel } from '#geo-core/plane/kernel.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { polygonsFromRings, ringsOf } from '#geo-core/plane/polygons.ts';
import type { GeoJsonShapes } from '#geo-core/projection/geojson-shapes.ts';

/** An edge said to lie along the lawn is kept for an area that it comes this near to, metres. */
const EDGE_REACH_M = 0.5;
const STEP_M = 0.5;

export type AreaOfSite = {
  readonly number: number;
  readonly lawn: readonly Polygon[];
  /** Whether the station that the user has fixed, if any, is of this area. */
  readonly keepsStation: boolean;
};

/**
 * The site of one working area: everything of the whole site, but the lawn (with what is said about its ground) only as far as it belongs to
 * the area, edges only where they lie along it, and crossings only where they join two sides of it.
 */
export function areaSite(input: SiteInput, site: PlaneSite, area: AreaOfSite, shapes: GeoJsonShapes): SiteInput {
  const { number, lawn, keepsStation } = area;
  const gone = new Set<string>();
  for (const feature of site.features) {
    const isOther =
      feature.kind === 'lawn' ||
      (feature.kind === 'station' && !keepsStation) ||
      (feature.kind === 'edge' && !runsAlong(feature, lawn)) ||
      (feature.kind === 'crossing' && !joinsTwoSides(feature, lawn, site.gridM));
    if (isOther) gone.add(feature.pointer);
  }
  const kept = input.features.filter((_, i) => !gone.has(`/features/${i}`));
  const named = input.name === undefined ? {} : { name: `${input.name}, working area ${number}` };
  const id = input.id === undefined ? {} : { id: `${input.id}-area-${number}` };
  return { ...input, ...named, ...id, features: [...lawnsOf(site, lawn, shapes), ...kept] };
}

/** The lawn of an area, parted by the ground that is told of it. */
function lawnsOf(site: PlaneSite, lawn: readonly Polygon[], shapes: GeoJsonShapes): SiteFeatureInput[] {
  let rest = ringsOf(lawn);
  const lawns: SiteFeatureInput[] = [];
  const add = (polygons: readonly Polygon[], properties: Readonly<Record<string, unknown>>): void => {
    const geometry = shapes.area(polygons);
    if (geometry === undefined) return;
    lawns.push({ type: 'Feature', properties: { kind: 'lawn', ...properties }, geometry });
  };
  for (const ground of GROUNDS) {
    const told = site.features
      .filter((feature) => feature.kind === 'lawn' && feature.ground === ground)
      .flatMap(({ shape }) => (shape.type === 'area' ? ringsOf(shape.polygons) : []));
    if (told.length === 0) continue;
    add(polygonsFromRings(kernel().intersection(rest, told, site.gridM)), { ground });
    rest = kernel().difference(rest, told, site.gridM);
  }
  add(polygonsFromRings(rest), {});
  return lawns;
}

function runsAlong({ shape }: PlaneFeature, lawn: readonly Polygon[]): boolean {
  if (shape.type !== 'line') return false;
  return shape.lines.some((line) => {
    for (let i = 0; i + 3 < line.length; i += 2) {
      const [ax, ay, bx, by] = [line[i], line[i + 1], line[i + 2], line[i + 3]];
      const steps = Math.max(1, Math.ceil(distanceM(ax, ay, bx, by) / STEP_M));
      for (let k = 0; k < steps; k++) {
        const t = (k + 0.5) / steps;
        const at = { x: ax + t * (bx - ax), y: ay + t * (by - ay) };
        if (pointToPolygonsM(at, lawn) <= EDGE_REACH_M) return true;
      }
    }
    return false;
  });
}

function joinsTwoSides({ shape }: PlaneFeature, lawn: readonly Polygon[], gridM: number): boolean {
  if (shape.type === 'line')
    return shape.lines.some((line) => {
      const [x, y] = line.slice(-2);
      return [
        { x: line[0], y: line[1] },
        { x, y },
      ].every((end) => pointToPolygonsM(end, lawn) <= EDGE_REACH_M);
    });
  if (shape.type !== 'area') return false;
  const grown = kernel().offset(ringsOf(shape.polygons), EDGE_REACH_M, gridM);
  return polygonsFromRings(kernel().intersection(grown, ringsOf(lawn), gridM)).length > 1;
}
