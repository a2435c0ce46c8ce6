import { COLLECTIONS, type Collection } from '#api/collections/collections.ts';
import { parseSite } from '#api/contract/parse-site.ts';
import type { House } from '#api/house/house.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import type { NewFeature, Properties } from '#api/store/features.ts';
import { footprintOf } from '#api/store/footprint.ts';
import type { Geometry } from '#api/store/geometry.ts';
import { queuedPlan } from '#api/store/plans.ts';
import type { Before, SiteContent } from '#api/store/sites.ts';
import { siteDocument, withBooks } from './site-document.ts';

/** A request to write, and whom it comes from. */
export type Write = {
  readonly house: House;
  readonly tenant: string;
  readonly limits: Limits;
  readonly request: Request;
  /** Sites that one firm may keep. */
  readonly sitesMax: number;
};

/** How long a write waits for its plan before it answers without: most plans take a tenth of that. */
const PLAN_WAIT_MS = 2_000;
const KEEP_MS = 24 * 3600 * 1000;

const FAMILIES: Readonly<Record<Geometry['type'], Collection['family']>> = {
  Point: 'point',
  MultiPoint: 'point',
  LineString: 'line',
  MultiLineString: 'line',
  Polygon: 'polygon',
  MultiPolygon: 'polygon',
};

export function familyOf(type: Geometry['type']): Collection['family'] {
  return FAMILIES[type];
}

/** The collection that features given with a geometry belong to. */
function givenCollection(type: Geometry['type']): string {
  const found = COLLECTIONS.find(({ id, family }) => id.startsWith('site-') && family === familyOf(type));
  if (found === undefined) throw new Error(`no collection for ${type}`);
  return found.id;
}

/** A feature as it will be kept. */
export function givenFeature(siteId: string, ordinal: number, geometry: Geometry, properties: Properties): NewFeature {
  const collection = givenCollection(geometry.type);
  return { collection, id: `${siteId}.${ordinal}`, siteId, origin: 'site', ordinal, geometry, properties };
}

/**
 * Checks a site as `POST /plan` would and throws 422 with a pointer to every fault. `toPointer` turns a pointer into the site document
 * into one into what the caller sent; faults that have none there are told against the whole.
 */
export async function checkSite(
  house: House,
  tenant: string,
  content: SiteContent,
  limits: Limits,
  toPointer: (pointer: string) => string,
): Promise<void> {
  if (content.features.length === 0) {
    throw new HttpProblem({
      code: 'conflict',
      detail: 'a site has at least one feature: delete the site itself instead',
    });
  }
  const { document } = await withBooks(house.store, tenant, siteDocument(content, content.features));
  const parsed = parseSite(document, { limits });
  if (!('problems' in parsed)) return;
  throw new HttpProblem({
    code: parsed.reason,
    detail: 'the site cannot be kept like that',
    errors: parsed.problems.map(({ pointer, message }) => ({ pointer: toPointer(pointer), detail: message })),
    more: parsed.more,
  });
}

/**
 * Keeps a site and has it planned; waits a little for the plan. False where somebody else wrote in between, and then nothing is kept.
 */
export async function saveSite(house: House, tenant: string, content: SiteContent, before: Before): Promise<boolean> {
  const { store, runner, now, newId } = house;
  const { id } = content;
  const jobId = newId();
  const present = await store.features.one(tenant, 'plans', id);
  const ground = footprintOf(content.features);
  const saved = await store.sites.save(tenant, content, before, [
    queuedPlan(tenant, { id, name: content.name, ground }, present, now()),
    {
      sql: "delete from job where tenant_id = ? and subject = ? and process_id = 'replan-site' and status = 'accepted'",
      values: [tenant, id],
    },
    ...store.queue.add({
      id: jobId,
      tenant,
      processId: 'replan-site',
      subject: id,
      request: '{}',
      priority: 0,
      keepMs: KEEP_MS,
    }),
  ]);
  if (!saved) return false;
  runner.wake();
  await runner.ended(tenant, jobId, PLAN_WAIT_MS);
  return true;
}
