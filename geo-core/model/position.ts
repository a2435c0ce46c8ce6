/**
 * Coordinates carry their plane in the type: a LonLat can never be handed to code that measures, and flat
 * Float64Array rings are always metres of the site's local plane.
 */
declare const lonLatBrand: unique symbol;
declare const planeBrand: unique symbol;

/** WGS 84 longitude, latitude in degrees (RFC 7946 order). */
export type LonLat = readonly [lonDeg: number, latDeg: number] & { readonly [lonLatBrand]: true };

/** Metres along the axes of the local plane from its origin. */
export type PlanePoint = { readonly x: number; readonly y: number; readonly [planeBrand]?: never };

export function lonLat(lonDeg: number, latDeg: number): LonLat {
  return [lonDeg, latDeg] as unknown as LonLat;
}

/** Flat x0, y0, x1, y1, ... in metres, not closed, interior on the left: outer counter-clockwise, hole clockwise. */
export type Ring = Float64Array;

/** Flat x0, y0, x1, y1, ... in metres of an open or (first = last) closed line. */
export type Polyline = Float64Array;

export type Polygon = { readonly outer: Ring; readonly holes: readonly Ring[] };

/**
 * The local metric plane of one site: transverse Mercator on the site's own meridian, k0 = 1, WGS 84. Its x axis is a unit vector in
 * east and north (east where none is given), its y axis a quarter turn to the left of that.
 */
export type LocalPlane = {
  readonly originLonDeg: number;
  readonly originLatDeg: number;
  readonly xAxis?: { readonly east: number; readonly north: number };
};
