import { checkPlaces, type Locate, placeInDegrees } from '#geo-core/index.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { type Problem, ProblemList } from '#geo-core/model/problem.ts';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput, SiteInput } from '#geo-core/model/site.ts';
import { checkBbox, checkFeature, type FeatureTally } from './check-feature.ts';
import { nounOf } from './noun-of.ts';
import { CRS_REMEDY, type NamedCrs, parseCrs } from './parse-crs.ts';
import { siteFromCrs } from './site-from-crs.ts';
import { siteMembersSchema } from './site-schema.ts';

export type SiteLimits = { readonly featuresMax: number; readonly positionsMax: number };
const SITE_LIMITS: SiteLimits = { featuresMax: 5_000, positionsMax: 100_000 };

export type ParseOptions = {
  readonly limits?: SiteLimits;
  /** What the coordinates are in; without it WGS 84, or what a member `crs` says, as GeoJSON had it before RFC 7946. */
  readonly crs?: NamedCrs | undefined;
  /** Instead of what the site's own member `rules` says. */
  readonly rules?: unknown;
};

export type ParsedSite = {
  /** In longitude and latitude. */
  readonly site: SiteInput;
  /** The numbers the site asks for, checked. */
  readonly rules: Rules;
  /** The member `elevation` as it came: the host decodes it. */
  readonly elevation?: unknown;
};
export type RefusedSite = {
  readonly problems: readonly Problem[];
  /** Problems beyond those listed. */
  readonly more: number;
  readonly reason: 'invalid-site' | 'too-large';
};

const GEOJSON_PARTS = [
  'Feature',
  'Point',
  'MultiPoint',
  'LineString',
  'MultiLineString',
  'Polygon',
  'MultiPolygon',
  'GeometryCollection',
];

/**
 * Parsed JSON -> a site in longitude and latitude whose structure is right and whose positions are places of one property, or
 * everything that is wrong with it. Says nothing about meaning.
 */
export function parseSite(json: unknown, options: ParseOptions = {}): ParsedSite | RefusedSite {
  const { limits = SITE_LIMITS, crs } = options;
  const list = new ProblemList();
  if (!isObject(json)) {
    list.add([], `a site is a GeoJSON FeatureCollection, this is ${nounOf(json)}`);
    return refused(list);
  }
  checkType(json.type, list);
  checkBbox(json.bbox, ['bbox'], list);
  const members = siteMembersSchema.safeParse(json);
  for (const issue of members.error?.issues ?? []) list.add(issue.path.map(String), issue.message);
  const resolved = resolveRules(options.rules ?? json.rules);
  if ('problems' in resolved) for (const { pointer, message } of resolved.problems) list.addAt(pointer, message);
  const system = crs ?? memberCrs(json.crs, list);
  const reader = system === undefined || isLonLat(system) ? undefined : siteFromCrs(system);
  const features = checkFeatures(json.features, limits, list);
  if ('reason' in features) return features;
  if (Array.isArray(json.features)) checkPlaces(json.features, list, skipInfinite(reader?.locate ?? placeInDegrees));
  if (!list.isEmpty || !members.success || 'problems' in resolved) return refused(list);
  const located = reader?.toLonLat(features) ?? features;
  return {
    site: { ...members.data, type: 'FeatureCollection', features: located, rules: resolved.rules },
    rules: resolved.rules,
    ...(json.elevation !== undefined && { elevation: json.elevation }),
  };
}

/** GeoJSON before RFC 7946 named a system in the member `crs`, coordinates always east first. Many tools still write it. */
function memberCrs(crs: unknown, list: ProblemList): NamedCrs | undefined {
  if (crs === undefined || crs === null) return undefined;
  const name = isObject(crs) && isObject(crs.properties) ? crs.properties.name : undefined;
  const system = typeof name === 'string' ? parseCrs(name) : undefined;
  if (system !== undefined) return { ...system, axisOrder: 'east-north' };
  list.add(['crs'], `this names no system that is known here: ${CRS_REMEDY}`);
  return undefined;
}

function isLonLat({ crs, axisOrder }: NamedCrs): boolean {
  return crs.epsg === 4326 && axisOrder === 'east-north';
}

/** Numbers too large to hold are a fault of structure, told already. */
function skipInfinite(locate: Locate): Locate {
  return (position) => (Number.isFinite(position[0]) && Number.isFinite(position[1]) ? locate(position) : undefined);
}

function refused({ problems, more }: ProblemList): RefusedSite {
  return { problems, more, reason: 'invalid-site' };
}

function tooLarge(message: string): RefusedSite {
  return { problems: [{ pointer: '/features', message }], more: 0, reason: 'too-large' };
}

function checkType(type: unknown, list: ProblemList): void {
  if (type === 'FeatureCollection') return;
  if (GEOJSON_PARTS.some((part) => part === type)) {
    list.add(
      ['type'],
      `a site is a FeatureCollection: wrap this ${type} in {"type": "FeatureCollection", "features": [...]}`,
    );
  } else list.add(['type'], `the type of a site is "FeatureCollection", this is ${nounOf(type)}`);
}

function checkFeatures(
  value: unknown,
  limits: SiteLimits,
  list: ProblemList,
): readonly SiteFeatureInput[] | RefusedSite {
  if (!Array.isArray(value)) {
    list.add(['features'], `features is a list of features, this is ${nounOf(value)}`);
    return [];
  }
  if (value.length > limits.featuresMax) {
    return tooLarge(`${value.length} features are more than the ${limits.featuresMax} that one site may have`);
  }
  const tally: FeatureTally = { positions: 0 };
  const features = value.filter((feature: unknown, index): feature is SiteFeatureInput =>
    checkFeature(feature, ['features', index], list, tally),
  );
  if (tally.positions > limits.positionsMax) {
    return tooLarge(
      `${tally.positions} positions are more than the ${limits.positionsMax} that one site may have: simplify its outlines or split it`,
    );
  }
  return features;
}
