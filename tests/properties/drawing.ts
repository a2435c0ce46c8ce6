import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { Beyond, SiteFeatureInput, SiteInput, SiteKind } from '#geo-core/model/site.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';

/** A garden drawn in metres, set down anywhere on earth, turned, or written down differently. */

export type Spot = readonly [x: number, y: number];
/** Anything but the first lawns and their edges: an area goes by one ring, not closed. */
export type Thing = {
  readonly kind: SiteKind;
  readonly shape: 'area' | 'line' | 'point';
  readonly spots: readonly Spot[];
  readonly properties: Readonly<Record<string, unknown>>;
};
/** A plane with waves on it, on a grid of cells. */
export type Relief = {
  readonly slopeEastPct: number;
  readonly slopeNorthPct: number;
  readonly waveM: number;
  readonly cellM: number;
  readonly unknownEvery: number;
};
export type Drawing = {
  /** Each with holes after the outer ring; not closed. */
  readonly lawns: readonly (readonly (readonly Spot[])[])[];
  readonly things: readonly Thing[];
  /** What lies beyond the first edges of the first lawn's outer ring; undefined = nothing is said. */
  readonly beyond: readonly (Beyond | undefined)[];
  readonly relief?: Relief | undefined;
  /** No outline crosses or touches itself or another: every one of them is an edge. */
  readonly neat?: boolean;
};
export type Placement = { readonly lonDeg: number; readonly latDeg: number; readonly turnDeg: number };
/** How the same garden may be written down differently. */
export type Wording = {
  readonly featuresTurnedBy: number;
  readonly ringsTurnedBy: number;
  readonly ringsReversed: boolean;
};

export const HOME: Placement = { lonDeg: 11.92, latDeg: 48.13, turnDeg: 0 };
const AS_DRAWN: Wording = { featuresTurnedBy: 0, ringsTurnedBy: 0, ringsReversed: false };

export function siteOf(drawing: Drawing, place: Placement, wording = AS_DRAWN): SiteInput {
  const { position } = onEarth(place);
  const ring = (spots: readonly Spot[]): number[][] => {
    const turned = turnedBy(wording.ringsReversed ? spots.toReversed() : spots, wording.ringsTurnedBy);
    return [...turned, turned[0]].map(position);
  };
  const feature = (
    kind: SiteKind,
    geometry: SiteFeatureInput['geometry'],
    properties: Thing['properties'] = {},
  ): SiteFeatureInput => ({ type: 'Feature', properties: { kind, ...properties }, geometry });
  const outer = drawing.lawns[0]?.[0] ?? [];
  const features = [
    ...drawing.lawns.map((rings) => feature('lawn', { type: 'Polygon', coordinates: rings.map(ring) })),
    ...drawing.things.map(({ kind, shape, spots, properties }) => {
      if (shape === 'point') return feature(kind, { type: 'Point', coordinates: position(spots[0]) }, properties);
      if (shape === 'line') return feature(kind, { type: 'LineString', coordinates: spots.map(position) }, properties);
      return feature(kind, { type: 'Polygon', coordinates: [ring(spots)] }, properties);
    }),
    ...drawing.beyond.slice(0, outer.length).flatMap((beyond, i) => {
      const coordinates = [outer[i], outer[(i + 1) % outer.length]].map(position);
      return beyond === undefined ? [] : feature('edge', { type: 'LineString', coordinates }, { beyond });
    }),
  ];
  return {
    type: 'FeatureCollection',
    features: turnedBy(features, wording.featuresTurnedBy),
    ...(drawing.relief !== undefined && { elevation: gridOf(drawing.relief, place) }),
  };
}

/** Drawn metres <-> longitude and latitude. */
export function onEarth({ lonDeg, latDeg, turnDeg }: Placement): {
  readonly position: (spot: Spot) => number[];
  readonly spot: (position: readonly number[]) => Spot;
} {
  const projection = localPlaneProjection({ originLonDeg: lonDeg, originLatDeg: latDeg });
  const [cos, sin] = [Math.cos((turnDeg * Math.PI) / 180), Math.sin((turnDeg * Math.PI) / 180)];
  return {
    position: ([x, y]) => [...projection.toLonLat(x * cos - y * sin, x * sin + y * cos)],
    spot: ([lon, lat]) => {
      const { x, y } = projection.toPlane(lon, lat);
      return [x * cos + y * sin, y * cos - x * sin];
    },
  };
}

/** Half the side of a grid, cells. */
const HALF_CELLS = 12;
const METRES_PER_DEGREE = 111_195;

function gridOf({ slopeEastPct, slopeNorthPct, waveM, cellM, unknownEvery }: Relief, place: Placement): ElevationGrid {
  const size = 2 * HALF_CELLS + 1;
  const cellY = cellM / METRES_PER_DEGREE;
  const cellX = cellY / Math.cos((place.latDeg * Math.PI) / 180);
  const heightsM = Float32Array.from({ length: size * size }, (_, i) => {
    const [x, y] = [((i % size) - HALF_CELLS) * cellM, (HALF_CELLS - Math.floor(i / size)) * cellM];
    if (unknownEvery > 0 && i % unknownEvery === 0) return Number.NaN;
    return 0.01 * (slopeEastPct * x + slopeNorthPct * y) + waveM * Math.sin(x) * Math.cos(y);
  });
  return {
    epsg: 4326,
    columns: size,
    rows: size,
    firstCentreX: place.lonDeg - HALF_CELLS * cellX,
    firstCentreY: place.latDeg + HALF_CELLS * cellY,
    cellX,
    cellY,
    heightsM,
    source: 'inline',
  };
}

function turnedBy<T>(items: readonly T[], places: number): readonly T[] {
  const first = items.length === 0 ? 0 : places % items.length;
  return [...items.slice(first), ...items.slice(0, first)];
}
