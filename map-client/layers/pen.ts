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

/** Of the WGS 84 ellipsoid, squared (NGA.STND.0036, table 3.4): a degree of longitude is N cos lat long, one of latitude M. */
const ECCENTRICITY2 = 6.694_379_990_141e-3;

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
      const latRad = (fromLatDeg * Math.PI) / 180;
      const flattening = (1 - ECCENTRICITY2 * Math.sin(latRad) ** 2) / (1 - ECCENTRICITY2);
      const east = (toLonDeg - fromLonDeg) * Math.cos(latRad) * flattening;
      return (Math.atan2(east, toLatDeg - fromLatDeg) * 180) / Math.PI;
    },
  };
}
