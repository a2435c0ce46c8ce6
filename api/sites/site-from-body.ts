import type { CrsWay } from '#api/collections/coordinate-systems.ts';
import { checkFeature } from '#api/contract/check-feature.ts';
import type { House } from '#api/house/house.ts';
import { readJson } from '#api/plan/read-json.ts';
import { HttpProblem } from '#api/problems.ts';
import type { NewFeature, Properties } from '#api/store/features.ts';
import type { Before, SiteContent } from '#api/store/sites.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { ProblemList } from '#geo-core/model/problem.ts';
import { faultAt, invalidFeature, mergePatch, readFeature } from './read-feature-body.ts';
import { checkSite, givenFeature, saveSite, type Write } from './write-site.ts';

const RULES_NESTING_MAX = 8;
const ID = /^[A-Za-z0-9_-]{1,64}$/;
/** Members of a document that are kept in places of their own, or follow from others. */
const OWN_MEMBERS = new Set([
  'type',
  'id',
  'name',
  'features',
  'bbox',
  'crs',
  'links',
  'timeStamp',
  'numberMatched',
  'numberReturned',
]);
/** Properties of a site as a feature that are members of its document. */
const MEMBER_PROPERTIES = [
  'rules',
  'units',
  'locale',
  'prices',
  'quiet',
  'watering',
  'growth',
  'timeZone',
  'elevation',
] as const;

/** Keeps a new site from what was posted: a whole FeatureCollection, or a Feature whose ground becomes its parcel. Returns its id. */
export async function siteFromBody(write: Write, json: unknown, way: CrsWay): Promise<string> {
  if ((await write.house.store.sites.count(write.tenant)) >= write.sitesMax) {
    throw new HttpProblem({
      code: 'quota',
      detail: `there are ${write.sitesMax} sites already, the most one firm may keep (LOOPWRIGHT_SITES_MAX)`,
    });
  }
  const siteId = await newSiteId(write.house, write.tenant, json);
  if (await keptSite(write, siteId, json, way, undefined)) return siteId;
  throw new HttpProblem({ code: 'conflict', detail: `the site "${siteId}" was made by somebody else just now` });
}

/** Replaces a site by what was put; undefined where somebody else wrote in between. */
export async function replaceSite(
  write: Write,
  json: unknown,
  way: CrsWay,
  before: NonNullable<Before>,
): Promise<string | undefined> {
  const { id } = before.record;
  if (isObject(json) && json.id !== undefined && json.id !== null && String(json.id) !== id) {
    throw faultAt('/id', 'the id of a site cannot be changed');
  }
  return (await keptSite(write, id, json, way, before)) ? id : undefined;
}

async function keptSite(write: Write, siteId: string, json: unknown, way: CrsWay, before: Before): Promise<boolean> {
  const { house, tenant, limits } = write;
  const isWhole = isObject(json) && json.type === 'FeatureCollection';
  const content = isWhole ? wholeSite(siteId, json, way, limits.featuresMax) : parcelSite(siteId, json, way);
  await checkSite(house, tenant, content, limits, isWhole ? (pointer) => pointer : parcelPointer);
  return saveSite(house, tenant, content, before);
}

/** Changes name, rules and the like of a site; undefined where somebody else wrote in between. */
export async function patchSite(write: Write, json: unknown, before: NonNullable<Before>): Promise<string | undefined> {
  const { house, tenant, limits } = write;
  const { record, features } = before;
  if (!isObject(json)) throw faultAt('', 'a patch is an object with the member "properties"');
  if (json.id !== undefined && json.id !== record.id) throw faultAt('/id', 'the id of a site cannot be changed');
  if (json.geometry !== undefined) {
    throw faultAt('/geometry', 'the ground of a site follows from its features: change those, or put the whole site');
  }
  const said = mergePatch({ name: record.name, ...record.members }, json.properties ?? {});
  const { name, ...others } = isObject(said) ? said : {};
  const unchanged = Object.entries(record.members).filter(([member]) => Object.hasOwn(others, member));
  const content: SiteContent = {
    id: record.id,
    name: nameOf(name, '/properties/name'),
    members: { ...Object.fromEntries(unchanged), ...membersOf(others) },
    nextOrdinal: record.nextOrdinal,
    features,
  };
  await checkSite(house, tenant, content, limits, (pointer) => `/properties${pointer}`);
  return (await saveSite(house, tenant, content, before)) ? record.id : undefined;
}

export function removeSite(house: House, tenant: string, before: NonNullable<Before>): Promise<boolean> {
  return house.store.sites.remove(tenant, before.record);
}

/** The id that was given, where it is one and free; else a new one. */
async function newSiteId(house: House, tenant: string, json: unknown): Promise<string> {
  const given = isObject(json) ? json.id : undefined;
  const wanted = typeof given === 'number' ? String(given) : given;
  if (typeof wanted !== 'string' || !ID.test(wanted)) return house.newId();
  if ((await house.store.sites.one(tenant, wanted)) === undefined) return wanted;
  throw new HttpProblem({
    code: 'conflict',
    detail: `there is a site "${wanted}" already: put it, or post it under another id`,
  });
}

function wholeSite(
  siteId: string,
  json: Readonly<Record<string, unknown>>,
  way: CrsWay,
  featuresMax: number,
): SiteContent {
  const list = new ProblemList();
  if (!Array.isArray(json.features)) {
    list.add(['features'], 'features is a list of features');
    throw invalidFeature(list);
  }
  if (json.features.length > featuresMax) {
    throw new HttpProblem({
      code: 'too-large',
      detail: `${json.features.length} features are more than the ${featuresMax} of one site`,
    });
  }
  const features: NewFeature[] = [];
  json.features.forEach((feature: unknown, i) => {
    const path = ['features', i];
    if (!checkFeature(feature, path, list, { positions: 0 })) return;
    const { geometry } = feature;
    if (geometry === null) list.add([...path, 'geometry'], 'a feature that is kept has a place: leave this one out');
    else if (geometry?.type === 'GeometryCollection')
      list.add([...path, 'geometry'], 'send a feature for each geometry');
  });
  if (!list.isEmpty) throw invalidFeature(list);
  json.features.forEach((feature: unknown, i) => {
    const { geometry, properties } = readFeature(feature, way);
    if (geometry !== null) features.push(givenFeature(siteId, i, geometry, properties));
  });
  const members = Object.fromEntries(Object.entries(json).filter(([name]) => !OWN_MEMBERS.has(name)));
  return { id: siteId, name: nameOf(json.name, '/name'), members, nextOrdinal: features.length, features };
}

/** A site known by its outline only. */
function parcelSite(siteId: string, json: unknown, way: CrsWay): SiteContent {
  const { geometry, properties } = readFeature(json, way);
  if (geometry === null || (geometry.type !== 'Polygon' && geometry.type !== 'MultiPolygon')) {
    throw faultAt('/geometry', 'the ground of a site is a Polygon or MultiPolygon; or send a whole FeatureCollection');
  }
  const { name, ...others } = properties;
  return {
    id: siteId,
    name: nameOf(name, '/properties/name'),
    members: membersOf(others),
    nextOrdinal: 1,
    features: [givenFeature(siteId, 0, geometry, { kind: 'parcel' })],
  };
}

function parcelPointer(pointer: string): string {
  if (pointer.startsWith('/features/0')) return pointer.slice('/features/0'.length);
  return pointer === '' ? '' : `/properties${pointer}`;
}

function nameOf(name: unknown, pointer: string): string | null {
  if (name === undefined || name === null) return null;
  if (typeof name === 'string' && name.length <= 200) return name;
  throw faultAt(pointer, 'a name is text of at most 200 characters');
}

/** Of the properties of a site as a feature, those that are members of its document. */
function membersOf(properties: Properties): Properties {
  return Object.fromEntries(
    MEMBER_PROPERTIES.flatMap((name) => {
      const value = properties[name];
      return value === undefined || value === null ? [] : [[name, name === 'rules' ? rulesOf(value) : value]];
    }),
  );
}

/** As a feature a site shows an inline rule set as JSON text. */
function rulesOf(value: unknown): unknown {
  if (typeof value !== 'string' || !value.startsWith('{')) return value;
  const read = readJson(new TextEncoder().encode(value), RULES_NESTING_MAX);
  if ('detail' in read) throw faultAt('/properties/rules', read.detail);
  return read.json;
}
