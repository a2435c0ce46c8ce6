import type { Collection } from '#api/collections/collections.ts';
import type { CrsWay } from '#api/collections/coordinate-systems.ts';
import { HttpProblem } from '#api/problems.ts';
import {
  faultAt,
  GEOJSON_TYPES,
  type GivenFeature,
  mergePatch,
  PATCH_TYPES,
  readFeature,
  readJsonBody,
} from '#api/sites/read-feature-body.ts';
import { presentSite } from '#api/sites/site-document.ts';
import { patchSite, removeSite, replaceSite, siteFromBody } from '#api/sites/site-from-body.ts';
import { checkSite, familyOf, givenFeature, saveSite, type Write } from '#api/sites/write-site.ts';
import type { KeptFeature, NewFeature, Properties } from '#api/store/features.ts';
import type { Geometry } from '#api/store/geometry.ts';
import type { Before, SiteContent } from '#api/store/sites.ts';
import { checkIfMatch } from './etags.ts';
import { itemProperties } from './item-feature.ts';

/** Somebody may write in between: then everything is read and checked again. */
const TRIES = 4;

/** Keeps a new feature (or a whole site) and returns its id. */
export async function createItem(write: Write, collection: Collection): Promise<string> {
  const { house, tenant, limits, request } = write;
  const { json, way } = await readJsonBody(request, limits, GEOJSON_TYPES);
  if (collection.id === 'sites') return siteFromBody(write, json, way);
  const given = readFeature(json, way);
  const { geometry, properties } = checkedFeature(collection, given);
  const { site } = given.properties;
  if (typeof site !== 'string') throw faultAt('/properties/site', 'the id of the site it belongs to is wanted here');
  return retried(undefined, async () => {
    const before = await presentSite(house.store, tenant, site);
    if (before === undefined) throw faultAt('/properties/site', `there is no site "${site.slice(0, 80)}"`);
    const { nextOrdinal } = before.record;
    const added = givenFeature(site, nextOrdinal, geometry, properties);
    const content = { ...before.record, nextOrdinal: nextOrdinal + 1, features: [...before.features, added] };
    await checkSite(house, tenant, content, limits, pointerInto(content, added));
    return (await saveSite(house, tenant, content, before)) ? added.id : undefined;
  });
}

/** Replaces a feature (or a whole site); `patched` says that the body holds only what changes (RFC 7396). */
export async function changeItem(write: Write, collection: Collection, id: string, patched: boolean): Promise<void> {
  const { house, tenant, limits, request } = write;
  const ifMatch = request.headers.get('if-match') ?? undefined;
  const { json, way } = await readJsonBody(request, limits, patched ? PATCH_TYPES : GEOJSON_TYPES);
  await retried(ifMatch, async () => {
    const { present, before } = await presentItem(write, collection, id, ifMatch);
    if (collection.id === 'sites') {
      return patched ? patchSite(write, json, before) : replaceSite(write, json, way, before);
    }
    const given = patched
      ? readFeature(mergePatch(asSent(collection, present), inLonLat(json, way)), AS_IT_IS)
      : readFeature(json, way);
    const changed = changedFeature(collection, present, given);
    const features = before.features.map((feature) => (isSame(feature, changed) ? changed : feature));
    const content = { ...before.record, features };
    await checkSite(house, tenant, content, limits, pointerInto(content, changed));
    return (await saveSite(house, tenant, content, before)) ? id : undefined;
  });
}

export async function removeItem(write: Write, collection: Collection, id: string): Promise<void> {
  const { house, tenant, limits, request } = write;
  const ifMatch = request.headers.get('if-match') ?? undefined;
  await retried(ifMatch, async () => {
    const { present, before } = await presentItem(write, collection, id, ifMatch);
    if (collection.id === 'sites') return (await removeSite(house, tenant, before)) ? id : undefined;
    const content = { ...before.record, features: before.features.filter((feature) => !isSame(feature, present)) };
    await checkSite(house, tenant, content, limits, () => '');
    return (await saveSite(house, tenant, content, before)) ? id : undefined;
  });
}

const AS_IT_IS: CrsWay = { uri: '', isLonLat: true, fromLonLat: (place) => place, toLonLat: (place) => place };

function changedFeature(collection: Collection, present: KeptFeature, given: GivenFeature): NewFeature {
  if (given.id !== undefined && given.id !== present.id) throw faultAt('/id', 'the id of a feature cannot be changed');
  const { site } = given.properties;
  if (site !== undefined && site !== null && site !== present.siteId) {
    throw faultAt('/properties/site', 'a feature stays with its site: delete it here and add it there');
  }
  const { geometry, properties } = checkedFeature(collection, given);
  return givenFeature(present.siteId, present.ordinal, geometry, properties);
}

/** A patch whose geometry comes in another coordinate system. */
function inLonLat(json: unknown, way: Parameters<typeof readFeature>[1]): unknown {
  if (way.isLonLat || typeof json !== 'object' || json === null || !('geometry' in json) || json.geometry === null)
    return json;
  const { geometry } = readFeature({ type: 'Feature', properties: {}, geometry: json.geometry }, way);
  return { ...json, geometry };
}

/** The feature as a client has read it, ready to be patched. */
function asSent(collection: Collection, present: KeptFeature): object {
  return {
    type: 'Feature',
    id: present.id,
    geometry: present.geometry,
    properties: itemProperties(collection, present),
  };
}

/** Geometry and properties that may be kept: what the service sets itself, and what says nothing, is left out. */
function checkedFeature(collection: Collection, given: GivenFeature): { geometry: Geometry; properties: Properties } {
  const { geometry, properties } = given;
  if (geometry === null) throw faultAt('/geometry', `a ${collection.family} is wanted here, this is null`);
  if (familyOf(geometry.type) !== collection.family) {
    throw faultAt('/geometry/type', `"${collection.id}" holds ${collection.family}s, this is a ${geometry.type}`);
  }
  const kept = Object.entries(properties).filter(
    ([name, value]) =>
      value !== null &&
      name !== 'site' &&
      !(Object.hasOwn(collection.fields, name) && collection.fields[name].readOnly),
  );
  return { geometry, properties: Object.fromEntries(kept) };
}

/** A feature and its site at one moment; 412 where that is not what the caller has read, 404 where there is nothing. */
async function presentItem(
  { house, tenant }: Write,
  collection: Collection,
  id: string,
  ifMatch: string | undefined,
): Promise<{ readonly present: KeptFeature; readonly before: NonNullable<Before> }> {
  const found = await house.store.features.one(tenant, collection.id, id);
  const before = found === undefined ? undefined : await presentSite(house.store, tenant, found.siteId);
  // A site as a feature tells its version; any other feature is looked up again among those of its site.
  const present =
    collection.id === 'sites'
      ? found?.properties.version === before?.record.version
        ? found
        : undefined
      : before?.features.find((feature) => feature.collection === collection.id && feature.id === id);
  checkIfMatch(ifMatch, present?.digest);
  if (present !== undefined && before !== undefined) return { present, before };
  throw new HttpProblem({ code: 'not-found', detail: `there is no feature "${id.slice(0, 80)}" here` });
}

function isSame(a: Pick<NewFeature, 'collection' | 'id'>, b: Pick<NewFeature, 'collection' | 'id'>): boolean {
  return a.id === b.id && a.collection === b.collection;
}

/** Pointers into the site's document -> into the one feature that was sent. */
function pointerInto({ features }: Pick<SiteContent, 'features'>, sent: NewFeature): (pointer: string) => string {
  const own = `/features/${features.findIndex((feature) => isSame(feature, sent))}`;
  return (pointer) => (pointer === own || pointer.startsWith(`${own}/`) ? pointer.slice(own.length) : '');
}

/** Does `attempt` until it says what it has written; where another write always comes first, 412 or 409. */
async function retried<Result>(
  ifMatch: string | undefined,
  attempt: () => Promise<Result | undefined>,
): Promise<Result> {
  for (let i = 0; i < TRIES; i++) {
    const result = await attempt();
    if (result !== undefined) return result;
  }
  throw new HttpProblem({
    code: ifMatch === undefined ? 'conflict' : 'precondition-failed',
    detail: 'others write to this site all the time: read it again, then write',
  });
}
