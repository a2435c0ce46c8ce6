import type { PlanGeometry } from '#geo-core/model/plan.ts';
import { LIST_DEPTHS, type SiteFeatureInput, type SiteGeometryInput, type SiteKind } from '#geo-core/model/site.ts';
import { INK, WIDTH } from './ink.ts';
import { type Attributes, element, type MarkUp } from './mark-up.ts';
import { areaPath, type Placement, type Position, pathOf } from './placement.ts';

/** Ground as it was given, under and over the planned washes. */
export type SiteGround = { readonly under: readonly MarkUp[]; readonly over: readonly MarkUp[] };

type Look = { readonly fill?: string; readonly hatch?: string; readonly rim?: Attributes };

const thin = { stroke: INK.soft, 'stroke-width': WIDTH.thin };
/** From the ground up; what lies in the lawn or stands on it comes over the washes. */
const UNDER: readonly (readonly [SiteKind, Look])[] = [
  ['road', { fill: INK.road }],
  ['parcel', { rim: { stroke: INK.line, 'stroke-width': WIDTH.middle, 'stroke-dasharray': '7 1.2 0.4 1.2' } }],
  ['paving', { fill: INK.paving, hatch: 'bond', rim: thin }],
  ['crossing', { fill: INK.paving, hatch: 'bond', rim: thin }],
];
const OVER: readonly (readonly [SiteKind, Look])[] = [
  ['planting', { fill: INK.planting, hatch: 'stipple', rim: thin }],
  ['water', { fill: INK.water, hatch: 'waves', rim: thin }],
  ['tree', { fill: INK.planting, hatch: 'stipple', rim: thin }],
  ['obstacle', { fill: INK.paper, rim: thin }],
  ['building', { fill: INK.building, hatch: 'poche', rim: { stroke: INK.line, 'stroke-width': WIDTH.middle } }],
];
/** What is in view, whatever its distance from the lawn. */
const FRAMING: readonly SiteKind[] = ['parcel', 'building', 'lawn'];
/** Where a point has no radius, metres. */
const POINT_RADIUS_M = 0.3;

/** Buildings, paving, water, planting and trees of the site, where the lawn and the wire lie between them. */
export function drawSite(features: readonly SiteFeatureInput[], place: Placement): SiteGround {
  const look = ([kind, style]: readonly [SiteKind, Look]) => drawKind(kind, style, features, place);
  return { under: UNDER.flatMap(look), over: OVER.flatMap(look) };
}

/** The kinds among the features that are drawn. */
export function drawnKinds(features: readonly SiteFeatureInput[]): ReadonlySet<string> {
  const drawn = new Set<string>([...UNDER, ...OVER].map(([kind]) => kind));
  return new Set(
    features.flatMap((feature) => {
      const kind = String(feature.properties?.kind);
      return drawn.has(kind) && simpleGeometries(feature).length > 0 ? [kind] : [];
    }),
  );
}

/** Positions that a drawing of the site should hold. */
export function framingPositions(features: readonly SiteFeatureInput[]): Position[] {
  return features
    .filter(({ properties }) => FRAMING.some((kind) => kind === properties?.kind))
    .flatMap((feature) => simpleGeometries(feature).flatMap(({ geometry }) => flatPositions(geometry.coordinates)));
}

function drawKind(
  kind: SiteKind,
  { fill, hatch, rim }: Look,
  features: readonly SiteFeatureInput[],
  place: Placement,
): MarkUp[] {
  const own = features.filter(({ properties }) => properties?.kind === kind).flatMap(simpleGeometries);
  return own.flatMap(({ geometry, radiusM, widthM }) => {
    if (geometry.type === 'Point') {
      const [cx, cy] = place.point(geometry.coordinates);
      return washed('circle', { cx, cy, r: radiusM * place.mmPerM }, { fill, hatch, rim });
    }
    const polygons = place.polygons(geometry);
    if (polygons.length > 0)
      return washed('path', { d: areaPath(polygons), 'fill-rule': 'evenodd' }, { fill, hatch, rim });
    const d = place
      .lines(geometry)
      .map((line) => pathOf(line, false))
      .join('');
    return [element('path', { d, fill: 'none', stroke: fill ?? INK.faint, 'stroke-width': widthM * place.mmPerM })];
  });
}

function washed(name: string, shape: Attributes, { fill, hatch, rim }: { [Key in keyof Look]: Look[Key] | undefined }) {
  return [
    ...(fill === undefined ? [] : [element(name, { ...shape, fill })]),
    ...(hatch === undefined ? [] : [element(name, { ...shape, fill: `url(#${hatch})` })]),
    ...(rim === undefined ? [] : [element(name, { ...shape, fill: 'none', 'stroke-linejoin': 'round', ...rim })]),
  ];
}

type Simple = { readonly geometry: PlanGeometry; readonly radiusM: number; readonly widthM: number };

/** Several points become one each; positions lose their heights. */
function simpleGeometries({ geometry, properties }: SiteFeatureInput): Simple[] {
  const size = (value: unknown, otherwise: number) =>
    typeof value === 'number' && value > 0 && Number.isFinite(value) ? value : otherwise;
  const radiusM = size(properties?.radius, POINT_RADIUS_M);
  const widthM = size(properties?.width, 1);
  const parts = (given: SiteGeometryInput | null): PlanGeometry[] => {
    if (given === null) return [];
    switch (given.type) {
      case 'GeometryCollection':
        return given.geometries.flatMap(parts);
      case 'MultiPoint':
        return given.coordinates.flatMap((position) => parts({ type: 'Point', coordinates: position }));
      case 'Point':
        return [{ type: 'Point', coordinates: flat(given.coordinates) }];
      case 'LineString':
        return given.coordinates.length < 2 ? [] : [{ ...given, coordinates: given.coordinates.map(flat) }];
      case 'MultiLineString':
      case 'Polygon':
        return [{ ...given, coordinates: given.coordinates.map((line) => line.map(flat)) }];
      case 'MultiPolygon':
        return [{ ...given, coordinates: given.coordinates.map((rings) => rings.map((ring) => ring.map(flat))) }];
    }
  };
  return parts(geometry)
    .filter(({ type, coordinates }) => LIST_DEPTHS.has(type) && coordinates.length > 0)
    .map((each) => ({ geometry: each, radiusM, widthM }));
}

function flat(position: readonly number[]): Position {
  return [position[0], position[1]];
}

type Nested = Position | readonly Nested[];

function flatPositions(coordinates: Nested): Position[] {
  const [first, second] = coordinates;
  if (typeof first === 'number' && typeof second === 'number') return [[first, second]];
  return coordinates.flatMap((part) => (typeof part === 'number' ? [] : flatPositions(part)));
}
