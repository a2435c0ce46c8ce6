import { HttpProblem } from '#api/problems.ts';
import type { KeptFeature } from '#api/store/features.ts';
import type { Store } from '#api/store/open-store.ts';
import type { Before, SiteRecord } from '#api/store/sites.ts';
import { isObject } from '#geo-core/model/is-object.ts';

/** A site as one FeatureCollection again, its features in the order they were given: what `POST /plan` takes. */
export function siteDocument(
  record: Pick<SiteRecord, 'id' | 'name' | 'members'>,
  features: readonly Pick<KeptFeature, 'id' | 'geometry' | 'properties'>[],
) {
  return {
    type: 'FeatureCollection',
    id: record.id,
    ...(record.name !== null && { name: record.name }),
    ...record.members,
    features: features.map(({ id, geometry, properties }) => ({ type: 'Feature', id, properties, geometry })),
  };
}

/** Features of a site as given, without the site as a feature. */
export async function givenFeatures(store: Store, tenant: string, siteId: string): Promise<KeptFeature[]> {
  return (await store.features.ofSite(tenant, siteId, 'site')).filter(({ collection }) => collection !== 'sites');
}

/** A site as it is now, with its features; undefined where there is none. */
export async function presentSite(store: Store, tenant: string, siteId: string): Promise<Before> {
  const record = await store.sites.one(tenant, siteId);
  return record === undefined ? undefined : { record, features: await givenFeatures(store, tenant, siteId) };
}

const TRIES = 4;

/** A site, its features and the digest that its ETag tells, all of one moment; undefined where there is none. */
export async function settledSite(store: Store, tenant: string, siteId: string) {
  for (let i = 0; i < TRIES; i++) {
    const feature = await store.features.one(tenant, 'sites', siteId);
    const present = await presentSite(store, tenant, siteId);
    const after = await store.sites.one(tenant, siteId);
    if (feature === undefined || present === undefined || after === undefined) return undefined;
    const { version } = present.record;
    if (feature.properties.version === version && after.version === version)
      return { ...present, digest: feature.digest };
  }
  throw new HttpProblem({
    code: 'busy',
    detail: 'others write to this site all the time',
    headers: { 'retry-after': '1' },
  });
}

/** Members that name a book of the firm: its content goes in their place. */
const NAMED_BOOKS = { rules: 'rule-sets', prices: 'price-books', elevation: 'grids' } as const;

/** The name of a book, or of one version of it. */
const BOOK_NAME = /^([A-Za-z0-9_-]{1,64})(?:@([1-9]\d{0,8}))?$/;

/** The document with what it names by id (`ours`, `ours@3`): rule sets, price books and the firm's profile in place, a grid beside it. */
export async function withBooks(store: Store, tenant: string, document: Readonly<Record<string, unknown>>) {
  const members: Record<string, unknown> = { ...document };
  let grid: { readonly bytes: Uint8Array; readonly fileName: string; readonly digest: string } | undefined;
  for (const [member, kind] of Object.entries(NAMED_BOOKS)) {
    const name = members[member];
    const [, id, version] = typeof name === 'string' ? (BOOK_NAME.exec(name) ?? []) : [];
    if (id === undefined) continue;
    const book = await store.books.one(tenant, kind, id, version === undefined ? undefined : Number(version));
    if (book === undefined) continue;
    if (kind === 'grids') {
      const extension = book.mediaType.includes('tiff') ? 'tif' : book.mediaType.includes('json') ? 'covjson' : 'asc';
      grid = { bytes: book.body, fileName: `${book.id}.${extension}`, digest: book.digest };
      delete members.elevation;
    } else {
      const content = JSON.parse(new TextDecoder().decode(book.body));
      // A plan says which version of which book it was priced with.
      members[member] = kind === 'price-books' ? { ...content, id: book.id, version: book.version } : content;
    }
  }
  if (isObject(members.papers) && typeof members.papers.firm === 'string') {
    const profile = await store.books.one(tenant, 'firm-profiles', members.papers.firm);
    if (profile !== undefined) {
      members.papers = { ...members.papers, firm: JSON.parse(new TextDecoder().decode(profile.body)) };
    }
  }
  return { document: members, grid };
}
