import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';

/** The pen that draws the invented estate: metres in a garden's own frame -> RFC 7946 features. */

export type Spot = readonly [u: number, v: number];
type DrawnGeometry =
  | { readonly type: 'Point'; readonly coordinates: readonly number[] }
  | { readonly type: 'LineString'; readonly coordinates: readonly (readonly number[])[] }
  | { readonly type: 'Polygon'; readonly coordinates: readonly (readonly (readonly number[])[])[] };
export type DrawnFeature = {
  readonly type: 'Feature';
  readonly properties: Readonly<Record<string, unknown>>;
  readonly geometry: DrawnGeometry;
};
type Properties = Readonly<Record<string, unknown>>;

/** Where the estate is put: woodland without a house for kilometres, so that nobody's garden is meant. */
const ESTATE_PLACE = { originLonDeg: 11.92, originLatDeg: 48.13 };

/** The street runs a little north of east, so that no edge is parallel to an axis. */
const STREET_TURN_DEG = 14;

const projection = localPlaneProjection(ESTATE_PLACE);

/**
 * A plot: its left front corner in street metres, and which way the plot's depth runs from there (degrees anticlockwise
 * from the street's left side). In its frame u runs along the front from left to right seen from the street, v away from it.
 *
 *        v
 *        |  garden
 *        +------- u
 *        footway, street
 */
export type Plot = { readonly x: number; readonly y: number; readonly turnDeg: number };

export type Pen = {
  area(
    kind: string,
    outer: readonly Spot[],
    properties?: Properties,
    holes?: readonly (readonly Spot[])[],
  ): DrawnFeature;
  /** As given: ring order and repeated positions are kept, for sites that are wrong on purpose. */
  rawArea(kind: string, rings: readonly (readonly Spot[])[], properties?: Properties): DrawnFeature;
  line(kind: string, line: readonly Spot[], properties?: Properties): DrawnFeature;
  spot(kind: string, at: Spot, properties?: Properties): DrawnFeature;
  /** Degrees clockwise from north of a direction given as an angle from u towards v. */
  headingDeg(angleDeg: number): number;
  lonLat(at: Spot): readonly number[];
};

export function penFor(plot: Plot): Pen {
  const place = (at: Spot): readonly number[] => {
    const [east, north] = estateMetres(plot, at);
    return projection.toLonLat(east, north).map((degrees) => Number(degrees.toFixed(9)));
  };
  const ring = (spots: readonly Spot[], anticlockwise: boolean): readonly (readonly number[])[] => {
    const turned = signedArea(spots) > 0 === anticlockwise ? spots : spots.toReversed();
    return [...turned, turned[0]].map(place);
  };
  const feature = (kind: string, geometry: DrawnGeometry, properties: Properties = {}): DrawnFeature => ({
    type: 'Feature',
    properties: { kind, ...properties },
    geometry,
  });
  return {
    area: (kind, outer, properties, holes = []) =>
      feature(
        kind,
        { type: 'Polygon', coordinates: [ring(outer, true), ...holes.map((hole) => ring(hole, false))] },
        properties,
      ),
    rawArea: (kind, rings, properties) =>
      feature(kind, { type: 'Polygon', coordinates: rings.map((spots) => spots.map(place)) }, properties),
    line: (kind, line, properties) => feature(kind, { type: 'LineString', coordinates: line.map(place) }, properties),
    spot: (kind, at, properties) => feature(kind, { type: 'Point', coordinates: place(at) }, properties),
    headingDeg: (angleDeg) => (((90 - angleDeg - plot.turnDeg - STREET_TURN_DEG) % 360) + 360) % 360,
    lonLat: place,
  };
}

/** Garden frame -> metres east and north of the estate's origin. */
function estateMetres(plot: Plot, [u, v]: Spot): Spot {
  const inPlot = turn([u, v], plot.turnDeg);
  return turn([plot.x + inPlot[0], plot.y + inPlot[1]], STREET_TURN_DEG);
}

/** Longitude, latitude -> garden frame, for drawing ground heights. */
export function gardenSpot(plot: Plot, lonDeg: number, latDeg: number): Spot {
  const { x, y } = projection.toPlane(lonDeg, latDeg);
  const street = turn([x, y], -STREET_TURN_DEG);
  return turn([street[0] - plot.x, street[1] - plot.y], -plot.turnDeg);
}

export function box(u0: number, v0: number, u1: number, v1: number): Spot[] {
  return [
    [u0, v0],
    [u1, v0],
    [u1, v1],
    [u0, v1],
  ];
}

export function disc([u, v]: Spot, radiusM: number, corners = 24): Spot[] {
  return blob([u, v], radiusM, 0, corners);
}

/** A round shape with soft bulges: radius x (1 + bulge x a few waves). */
export function blob([u, v]: Spot, radiusM: number, bulge: number, corners = 32): Spot[] {
  return Array.from({ length: corners }, (_, i) => {
    const angle = (2 * Math.PI * i) / corners;
    const reach = radiusM * (1 + bulge * (Math.sin(2 * angle + 0.6) + 0.6 * Math.sin(3 * angle + 2.1)));
    return [u + reach * Math.cos(angle), v + reach * Math.sin(angle)];
  });
}

function turn([x, y]: Spot, degrees: number): Spot {
  const angle = (degrees * Math.PI) / 180;
  return [x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle)];
}

function signedArea(spots: readonly Spot[]): number {
  return spots.reduce((twice, [u, v], i) => {
    const [nextU, nextV] = spots[(i + 1) % spots.length];
    return twice + u * nextV - nextU * v;
  }, 0);
}
