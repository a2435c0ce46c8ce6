import type { LocalPlaneProjection } from '#geo-core/index.ts';
import type { PlanePoint, Polygon, Polyline } from '#geo-core/model/position.ts';
import type { DrawnFeature, DrawnProperties, LonLatPair } from '../drawing.ts';

/** Draws metres of the local plane as GeoJSON. */
export type Pen = {
  readonly areas: (polygons: readonly Polygon[], properties: DrawnProperties) => DrawnFeature;
  /** Flat x, y, ...; not closed by itself. */
  readonly line: (line: Polyline, properties: DrawnProperties) => DrawnFeature;
  readonly strokes: (strokes: readonly Polyline[], properties: DrawnProperties) => DrawnFeature;
  readonly point: (at: PlanePoint, properties: DrawnProperties) => DrawnFeature;
  /** Direction from one point to another, degrees clockwise from north: the plane's own axes follow the site, not the compass. */
  readonly headingDeg: (from: PlanePoint, to: PlanePoint) => number;
};

export function createPen({ toLonLat }: LocalPlaneProjection): Pen {
  function positions(flat: Float64Array): LonLatPair[] {
    const result: LonLatPair[] = [];
    for (let i = 0; i < flat.length; i += 2) result.push(toLonLat(flat[i], flat[i + 1]));
    return result;
  }
  function closed(flat: Float64Array): LonLatPair[] {
    const ring = positions(flat);
    return ring.length === 0 ? ring : [...ring, ring[0]];
  }
  function feature(geometry: DrawnFeature['geometry'], properties: DrawnProperties): DrawnFeature {
    return { type: 'Feature', properties, geometry };
  }
  return {
    areas: (polygons, properties) => {
      const coordinates = polygons.map(({ outer, holes }) => [closed(outer), ...holes.map(closed)]);
      return feature({ type: 'MultiPolygon', coordinates }, properties);
    },
    line: (line, properties) => feature({ type: 'LineString', coordinates: positions(line) }, properties),
    strokes: (strokes, properties) =>
      feature({ type: 'MultiLineString', coordinates: strokes.map(positions) }, properties),
    point: ({ x, y }, properties) => feature({ type: 'Point', coordinates: toLonLat(x, y) }, properties),
    headingDeg: (from, to) => {
      const [[fromLonDeg, fromLatDeg], [toLonDeg, toLatDeg]] = [toLonLat(from.x, from.y), toLonLat(to.x, to.y)];
      const eastDeg = (toLonDeg - fromLonDeg) * Math.cos((fromLatDeg * Math.PI) / 180);
      return (Math.atan2(eastDeg, toLatDeg - fromLatDeg) * 180) / Math.PI;
    },
  };
}
