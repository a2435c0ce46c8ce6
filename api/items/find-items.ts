import { HttpProblem } from '#api/problems.ts';
import type { FeatureStore, KeptFeature } from '#api/store/features.ts';
import type { ItemsQuery } from './read-items-query.ts';

/** As many features as one filter may look at. */
const SCANNED_MAX = 1_000_000;

export type FoundItems = {
  readonly features: readonly KeptFeature[];
  /** How many there are in all, whatever the page. */
  readonly matched: number;
  /** Whether more follow after the last of these. */
  readonly hasMore: boolean;
};

/** One page of what is looked for, and the count of all of it; in order of ids, so that paging by the last id loses and repeats none. */
export async function findItems(store: FeatureStore, { wanted, test, limit, offset }: ItemsQuery): Promise<FoundItems> {
  if (test === undefined) {
    const [found, matched] = [await store.page(wanted, limit + 1, offset), await store.count(wanted)];
    return { features: found.slice(0, limit), matched, hasMore: found.length > limit };
  }
  const features: KeptFeature[] = [];
  let [scanned, matched, passed] = [0, 0, 0];
  for await (const feature of store.scan({ ...wanted, after: undefined })) {
    scanned += 1;
    if (scanned > SCANNED_MAX) {
      throw new HttpProblem({
        code: 'too-large',
        detail: `the filter would look at more than ${SCANNED_MAX} features: add a bbox`,
      });
    }
    if (!test(feature)) continue;
    matched += 1;
    if (wanted.after !== undefined && feature.id <= wanted.after) continue;
    passed += 1;
    if (passed > offset && features.length <= limit) features.push(feature);
  }
  return { features: features.slice(0, limit), matched, hasMore: features.length > limit };
}
