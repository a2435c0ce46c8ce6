import { createHash } from 'node:crypto';
import type { HouseWorld } from '#api/house/house.ts';
import { TryAgain, type Work } from '#api/house/runner.ts';
import type { PlanAnswer } from '#api/plan/plan-job.ts';
import type { Job, JobEnd } from '#api/queue/queue.ts';
import type { Store } from '#api/store/open-store.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { planRecords, refusedRecord } from './plan-records.ts';
import { givenFeatures, siteDocument, withBooks } from './site-document.ts';

const DONE: JobEnd = { status: 'successful', result: new Uint8Array(0) };

/** Plans a kept site as it is now. The same input gives the same version again; a site that was written meanwhile has a newer job. */
export async function replanSite(job: Job, { signal }: Work, store: Store, world: HouseWorld): Promise<JobEnd> {
  const { tenant, subject } = job;
  const record = subject === null ? undefined : await store.sites.one(tenant, subject);
  if (record === undefined || record.planState !== 'queued') return DONE;
  const site = await store.features.one(tenant, 'sites', record.id);
  if (site === undefined) return DONE;
  const features = await givenFeatures(store, tenant, record.id);
  const { document, grid } = await withBooks(store, tenant, siteDocument(record, features));
  const text = JSON.stringify(document);
  const inputHash = createHash('sha256')
    .update(`${world.version}\n${grid?.digest ?? ''}\n${text}`)
    .digest('hex');
  const versions = await store.plans.versions(tenant, record.id);
  const known = versions.find((version) => version.inputHash === inputHash);
  const made =
    known === undefined
      ? planOf(
          await world.planner.plan(
            {
              site: new TextEncoder().encode(text),
              ...(grid !== undefined && { elevation: { bytes: grid.bytes, fileName: grid.fileName } }),
              format: 'geojson',
              limits: world.limits,
            },
            signal,
          ),
        )
      : await store.plans.body(tenant, record.id, known.version);
  if (made === undefined) throw new Error(`version ${known?.version} of a plan has no body`);
  if (typeof made === 'string') {
    const refused = refusedRecord(record.id, record.name, site.geometry, made);
    await store.plans.save(tenant, record, { state: 'refused', problem: made }, [refused]);
    return DONE;
  }
  const version = known?.version ?? (versions.at(-1)?.version ?? 0) + 1;
  const records = planRecords(made, {
    siteId: record.id,
    name: record.name,
    ground: site.geometry,
    version,
    inputHash,
    at: world.now(),
  });
  await store.plans.save(tenant, record, { state: 'planned', version, inputHash, plan: made }, records);
  return DONE;
}

/** The plan, or why there is none. */
function planOf(answer: PlanAnswer): Plan | string {
  switch (answer.outcome) {
    case 'planned':
      return JSON.parse(new TextDecoder().decode(answer.body));
    case 'refused': {
      if (answer.code === 'busy') throw new TryAgain(answer.detail);
      const [first] = answer.problems;
      return first === undefined ? answer.detail : `${answer.detail}: ${first.pointer} ${first.message}`;
    }
    case 'failed':
      throw new Error(answer.trace);
  }
}
