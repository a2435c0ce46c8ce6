import type { PositionInput, SiteGeometryInput } from '#geo-core/model/site.ts';

/** Nine decimals of a degree, a tenth of a millimetre: what the drawing table keeps. */
export function rounded([lonDeg, latDeg]: PositionInput): [number, number] {
  return [Math.round(lonDeg * 1e9) / 1e9, Math.round(latDeg * 1e9) / 1e9];
}

/** Corners of a plain polygon, first not repeated; undefined for anything else (holes, several parts, lines, points). */
export function cornersOf(geometry: SiteGeometryInput): readonly PositionInput[] | undefined {
  return geometry.type === 'Polygon' && geometry.coordinates.length === 1
    ? geometry.coordinates[0].slice(0, -1)
    : undefined;
}

export function polygonOf(corners: readonly PositionInput[]): Extract<SiteGeometryInput, { type: 'Polygon' }> {
  const ring = corners.map(rounded);
  return { type: 'Polygon', coordinates: [[...ring, ring[0]]] };
}

export function isSamePlace([ax, ay]: PositionInput, [bx, by]: PositionInput): boolean {
  return Math.abs(ax - bx) < 2e-9 && Math.abs(ay - by) < 2e-9;
}
