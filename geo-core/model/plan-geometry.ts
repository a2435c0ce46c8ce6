import type { PlanGeometry } from './plan.ts';

type Position = readonly [number, number];

/** The polygons of a geometry, each its closed rings, outer first; none for points and lines. */
export function polygonsOf(geometry: PlanGeometry): readonly (readonly (readonly Position[])[])[] {
  if (geometry.type === 'Polygon') return [geometry.coordinates];
  return geometry.type === 'MultiPolygon' ? geometry.coordinates : [];
}

/** The lines of a geometry, those of its rings among them; none for points. */
export function linesOf(geometry: PlanGeometry): readonly (readonly Position[])[] {
  if (geometry.type === 'LineString') return [geometry.coordinates];
  return geometry.type === 'MultiLineString' ? geometry.coordinates : polygonsOf(geometry).flat();
}

/** All positions of a geometry in order. */
export function positionsOf(geometry: PlanGeometry): readonly Position[] {
  return geometry.type === 'Point' ? [geometry.coordinates] : linesOf(geometry).flat();
}
