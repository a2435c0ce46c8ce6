import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import type { PaperDetails } from '#geo-core/model/paper-details.ts';
import type { RulesSpec } from '#geo-core/model/rules.ts';
import type { LocalPlane, LonLat, Polygon, Polyline } from './position.ts';
import type { PricesInput } from './price-book.ts';

/** What a feature of a site can be (`properties.kind`). */
export const SITE_KINDS = [
  'parcel',
  'lawn',
  'building',
  'paving',
  'water',
  'planting',
  'tree',
  'obstacle',
  'keep-out',
  'edge',
  'crossing',
  'outlet',
  'sprinkler',
  'road',
  'station',
  'no-wire',
] as const;
export type SiteKind = (typeof SITE_KINDS)[number];

/** What can lie on the far side of a stretch of lawn edge. */
export const BEYONDS = [
  'level-paving',
  'open-ground',
  'planting',
  'wall',
  'fence',
  'hedge',
  'step-up',
  'step-down',
  'drop',
  'water',
  'road',
] as const;
export type Beyond = (typeof BEYONDS)[number];

/** A site as it arrives: one RFC 7946 FeatureCollection, structure already checked, meaning not yet. */
export type SiteInput = {
  readonly type: 'FeatureCollection';
  readonly features: readonly SiteFeatureInput[];
  readonly id?: string | number;
  readonly name?: string;
  readonly rules?: RulesSpec;
  readonly prices?: PricesInput;
  readonly quiet?: readonly QuietHours[];
  /** When sprinklers run. */
  readonly watering?: readonly QuietHours[];
  readonly growth?: GrowthInput;
  /** IANA name of the clock that the hours are told by, `Europe/Vienna`. */
  readonly timeZone?: string;
  readonly units?: 'metric' | 'us';
  readonly locale?: string;
  /** What proposal and crew sheets say beside the plan. */
  readonly papers?: PaperDetails;
  /** Already decoded by the host: files and inline grids are read at the edge. */
  readonly elevation?: ElevationGrid;
};

export type SiteFeatureInput = {
  readonly type: 'Feature';
  readonly id?: string | number | undefined;
  readonly properties: Readonly<Record<string, unknown>> | null;
  readonly geometry: SiteGeometryInput | null;
};

/** How many lists lie around a position in the `coordinates` of a geometry (RFC 7946 section 3.1). */
export const LIST_DEPTHS: ReadonlyMap<unknown, number> = new Map([
  ['Point', 0],
  ['MultiPoint', 1],
  ['LineString', 1],
  ['MultiLineString', 2],
  ['Polygon', 2],
  ['MultiPolygon', 3],
]);

export type PositionInput = readonly number[];
export type SiteGeometryInput =
  | { readonly type: 'Point'; readonly coordinates: PositionInput }
  | { readonly type: 'MultiPoint'; readonly coordinates: readonly PositionInput[] }
  | { readonly type: 'LineString'; readonly coordinates: readonly PositionInput[] }
  | { readonly type: 'MultiLineString'; readonly coordinates: readonly (readonly PositionInput[])[] }
  | { readonly type: 'Polygon'; readonly coordinates: readonly (readonly PositionInput[])[] }
  | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly PositionInput[])[])[] }
  | { readonly type: 'GeometryCollection'; readonly geometries: readonly SiteGeometryInput[] };

/** When mowing is not allowed: days 1 (Monday) to 7 (Sunday), local clock times 'HH:MM'. */
export type QuietHours = { readonly days: readonly number[]; readonly from: string; readonly to: string };

/** How hard a lawn is to peg and to cut: `firm` where nothing is said. */
export const GROUNDS = ['soft', 'firm', 'hard'] as const;
export type Ground = (typeof GROUNDS)[number];

/** How fast the grass grows, millimetres a day: twelve months from January, or days of the year 'MM-DD', taken linearly between. */
export type GrowthInput = {
  readonly monthsMmPerDay?: readonly number[];
  readonly pointsMmPerDay?: readonly { readonly on: string; readonly mmPerDay: number }[];
};

/** The attributes of a site feature that the planner reads, whatever its geometry. */
export type FeatureAttributes = {
  readonly kind: SiteKind;
  /** JSON Pointer into the input, `/features/3`. */
  readonly pointer: string;
  readonly id?: string | number;
  /** `properties.height`, metres. */
  readonly heightM?: number;
  /** `properties.rigid`: stands a gentle bump. */
  readonly rigid?: boolean;
  /** `properties.radius`, metres: trunk or bed of a tree, throw of a sprinkler. */
  readonly radiusM?: number;
  /** `properties.width`, metres: of a road or crossing given as a line. */
  readonly widthM?: number;
  /** `properties.beyond` of an edge. */
  readonly beyond?: Beyond;
  /** `properties.ground` of a lawn or parcel. */
  readonly ground?: Ground;
  /** `properties.bedroom` of a building or an edge: someone sleeps behind this wall. */
  readonly bedroom?: boolean;
  /** `properties.heading` of a fixed station, degrees clockwise from north. */
  readonly headingDeg?: number;
};

export type LonLatShape =
  | { readonly type: 'area'; readonly polygons: readonly (readonly (readonly LonLat[])[])[] }
  | { readonly type: 'line'; readonly lines: readonly (readonly LonLat[])[] }
  | { readonly type: 'point'; readonly points: readonly LonLat[] };

/** A site read and mended, in longitude and latitude: rings closed implicitly (first position not repeated), no repeated positions. */
export type Site = {
  readonly id?: string | number;
  readonly name?: string;
  readonly features: readonly (FeatureAttributes & { readonly shape: LonLatShape })[];
  readonly prices: PricesInput;
  readonly quiet: readonly QuietHours[];
  readonly watering?: readonly QuietHours[];
  readonly growth?: GrowthInput;
  readonly timeZone?: string;
  readonly units: 'metric' | 'us';
  readonly locale: string;
  readonly elevation?: ElevationGrid;
};

/** Areas are clean (no crossings, even-odd reading), outer rings counter-clockwise; points are areas only where a radius makes them so. */
export type PlaneShape =
  | { readonly type: 'area'; readonly polygons: readonly Polygon[] }
  | { readonly type: 'line'; readonly lines: readonly Polyline[] }
  | { readonly type: 'point'; readonly points: readonly { readonly x: number; readonly y: number }[] };

export type PlaneFeature = FeatureAttributes & { readonly shape: PlaneShape };

/** The site in metres. */
export type PlaneSite = Omit<Site, 'features'> & {
  readonly plane: LocalPlane;
  /** Size of the integer grid that all plane coordinates lie on, metres: 1e-7 up to 40 m from the origin, coarser beyond. */
  readonly gridM: number;
  readonly features: readonly PlaneFeature[];
};
