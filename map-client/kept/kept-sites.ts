import { RULE_SETS } from '#geo-core/model/rules.ts';
import { askService } from './ask-service.ts';

/** A garden that the service keeps. */
export type KeptName = { readonly id: string; readonly name: string; readonly updated: string };

/** The garden on the sheet, as it was when it was read or written last. */
export type KeptSite = {
  readonly id: string;
  /** Of what was read: nobody writes over what has been written since. */
  readonly etag: string;
  /** What the site names instead of bringing it: put back when it is written. */
  readonly books: Readonly<Partial<Record<Book, string>>>;
};

export type Heights = { readonly fileName: string; readonly bytes: ArrayBuffer; readonly projectionWkt: string | null };

/** A site as the planner reads it, with its heights beside it. */
export type ReadSite = { readonly kept: KeptSite; readonly text: string; readonly elevation: Heights | null };

type Book = 'rules' | 'prices' | 'elevation';
type Members = Record<string, unknown>;

const ITEMS = 'collections/sites/items';
const GEOJSON = { 'content-type': 'application/geo+json' };
const LISTED = 500;

export async function listKept(): Promise<readonly KeptName[]> {
  const answer = await askService(`${ITEMS}?f=json&limit=${LISTED}`);
  const { features }: { features: readonly { id: string; properties: { name?: string | null; updated: string } }[] } =
    await answer.json();
  return features
    .map(({ id, properties }) => ({ id, name: properties.name ?? id, updated: properties.updated }))
    .toSorted((a, b) => b.updated.localeCompare(a.updated));
}

/** Reads a garden with everything it names. */
export async function readKept(id: string): Promise<ReadSite> {
  const answer = await askService(`sites/${encodeURIComponent(id)}`);
  const site: Members = await answer.json();
  const books: Partial<Record<Book, string>> = {};
  const inPlace = async (member: 'rules' | 'prices', list: string, isOwn: (name: string) => boolean) => {
    const name = site[member];
    if (typeof name !== 'string' || isOwn(name)) return;
    books[member] = name;
    site[member] = await (await askService(bookPath(list, name))).json();
  };
  await inPlace('rules', 'rule-sets', (name) => RULE_SETS.some((known) => known.name === name));
  await inPlace('prices', 'price-books', () => false);
  let elevation: Heights | null = null;
  if (typeof site.elevation === 'string') {
    const grid = await askService(bookPath('grids', site.elevation));
    const isTiff = grid.headers.get('content-type')?.includes('tiff') === true;
    const fileName = `${site.elevation}.${isTiff ? 'tif' : 'asc'}`;
    elevation = { fileName, bytes: await grid.arrayBuffer(), projectionWkt: null };
    books.elevation = site.elevation;
    delete site.elevation;
  }
  const kept = { id, etag: answer.headers.get('etag') ?? '', books };
  return { kept, text: JSON.stringify(site), elevation };
}

/** `ours`, or one version of it: `ours@3`. */
function bookPath(list: string, name: string): string {
  const [id, version] = name.split('@');
  return `${list}/${encodeURIComponent(id)}${version === undefined ? '' : `?version=${encodeURIComponent(version)}`}`;
}

/**
 * Keeps a garden: in the place of the one that was read (`kept`), unless somebody has written to that since (412), or as a new one
 * (409 where its id is taken). `over` writes whatever has happened since.
 */
export async function writeKept(
  text: string,
  elevation: Heights | null,
  kept: KeptSite | null,
  over = false,
): Promise<KeptSite> {
  const site: Members = JSON.parse(text);
  const id = kept?.id ?? (typeof site.id === 'string' ? site.id : crypto.randomUUID());
  const books = { ...kept?.books, ...(await keptHeights(id, elevation, kept)) };
  const body = JSON.stringify({ ...site, ...books, id });
  const answer =
    kept === null && !over
      ? await askService(ITEMS, { method: 'POST', headers: GEOJSON, body })
      : await askService(`${ITEMS}/${encodeURIComponent(id)}`, {
          method: 'PUT',
          headers: { ...GEOJSON, ...(kept !== null && !over && { 'if-match': kept.etag }) },
          body,
        });
  const { id: given }: { id: string } = await answer.json();
  return { id: given, etag: answer.headers.get('etag') ?? '', books };
}

/** Heights are kept beside the site, once: they do not change on the drawing table. */
async function keptHeights(
  id: string,
  elevation: Heights | null,
  kept: KeptSite | null,
): Promise<{ elevation?: string }> {
  if (elevation === null || kept?.books.elevation !== undefined || elevation.projectionWkt !== null) return {};
  const name = `${id}-heights`;
  await askService(`grids/${encodeURIComponent(name)}`, {
    method: 'PUT',
    headers: { 'content-type': /\.tiff?$/i.test(elevation.fileName) ? 'image/tiff' : 'text/plain' },
    body: elevation.bytes,
  });
  return { elevation: name };
}
