import { type Problem, ProblemList } from '#geo-core/model/problem.ts';
import { resolveRules } from '#geo-core/model/resolve-rules.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { SiteFeatureInput, SiteInput } from '#geo-core/model/site.ts';
import { checkBbox, checkFeature, type FeatureTally, isObject, nounOf } from './check-feature.ts';
import { siteMembersSchema } from './site-schema.ts';

export type SiteLimits = { readonly featuresMax: number; readonly positionsMax: number };
const SITE_LIMITS: SiteLimits = { featuresMax: 5_000, positionsMax: 100_000 };

export type ParsedSite = {
  readonly site: SiteInput;
  /** The numbers the site asks for, checked. */
  readonly rules: Rules;
  /** The member `elevation` as it came: the host decodes it. */
  readonly elevation?: unknown;
  /** A member `crs` as GeoJSON had it before RFC 7946. */
  readonly crs?: unknown;
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

/** Parsed JSON -> a site whose structure is right, or everything that is wrong with it. Says nothing about meaning. */
export function parseSite(json: unknown, limits: SiteLimits = SITE_LIMITS): ParsedSite | RefusedSite {
  const list = new ProblemList();
  if (!isObject(json)) {
    list.add([], `a site is a GeoJSON FeatureCollection, this is ${nounOf(json)}`);
    return refused(list);
  }
  checkType(json.type, list);
  checkBbox(json.bbox, ['bbox'], list);
  const features = checkFeatures(json.features, limits, list);
  if ('reason' in features) return features;
  const members = siteMembersSchema.safeParse(json);
  for (const issue of members.error?.issues ?? []) list.add(issue.path.map(String), issue.message);
  const resolved = resolveRules(json.rules);
  if ('problems' in resolved) for (const { pointer, message } of resolved.problems) list.addAt(pointer, message);
  if (!list.isEmpty || !members.success || 'problems' in resolved) return refused(list);
  return {
    site: { ...members.data, type: 'FeatureCollection', features, rules: resolved.rules },
    rules: resolved.rules,
    ...(json.elevation !== undefined && { elevation: json.elevation }),
    ...(json.crs !== undefined && json.crs !== null && { crs: json.crs }),
  };
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
