import { createHash } from 'node:crypto';
import { bytesOf, type Database, numberOf, type Row, textOf } from './database.ts';
import { touchTenant } from './sites.ts';

/** What a firm keeps beside its sites, by kind. */
export const BOOK_KINDS = ['rule-sets', 'price-books', 'firm-profiles', 'grids'] as const;
export type BookKind = (typeof BOOK_KINDS)[number];

export type Book = {
  readonly id: string;
  /** 1, 2, 3, ...: every content that was kept under this id. */
  readonly version: number;
  readonly mediaType: string;
  readonly body: Uint8Array<ArrayBuffer>;
  readonly digest: string;
  /** When this version was kept. */
  readonly updated: string;
};
export type BookEntry = Omit<Book, 'body'> & { readonly byteCount: number };

export type BookStore = ReturnType<typeof bookStore>;

const ENTRY =
  'v.id, v.version, v.media_type, cast(length(v.body) as integer) as size, v.digest, v.created_at as updated_at';
const PRESENT = 'book b join book_version v on v.tenant_id = b.tenant_id and v.kind = b.kind and v.id = b.id';

/**
 * Rule sets, price books, profiles of the firm and grids that sites name by id. Every version stays, also of what was removed: an old plan can be made
 * again from what it was made from.
 */
export function bookStore(database: Database, now: () => string) {
  async function entries(sql: string, values: readonly string[]): Promise<BookEntry[]> {
    return (await database.read(sql, values)).map((row) => ({ ...headOf(row), byteCount: numberOf(row, 'size') }));
  }
  return {
    /** The present version of each. */
    list: (tenant: string, kind: BookKind): Promise<BookEntry[]> =>
      entries(
        `select ${ENTRY} from ${PRESENT} and v.version = b.version where b.tenant_id = ? and b.kind = ? order by v.id`,
        [tenant, kind],
      ),
    /** Oldest first; empty where nothing was ever kept under this id. */
    versions: (tenant: string, kind: BookKind, id: string): Promise<BookEntry[]> =>
      entries(
        `select ${ENTRY} from book_version v where v.tenant_id = ? and v.kind = ? and v.id = ? order by v.version`,
        [tenant, kind, id],
      ),
    /** The present version, or an older one, which may be of what was removed since. */
    async one(tenant: string, kind: BookKind, id: string, version?: number): Promise<Book | undefined> {
      const sql =
        version === undefined
          ? `select v.* from ${PRESENT} and v.version = b.version where b.tenant_id = ? and b.kind = ? and b.id = ?`
          : 'select v.* from book_version v where v.tenant_id = ? and v.kind = ? and v.id = ? and v.version = ?';
      const [row] = await database.read(sql, [tenant, kind, id, ...(version === undefined ? [] : [version])]);
      return row === undefined ? undefined : { ...headOf(row), body: bytesOf(row, 'body') };
    },
    /**
     * Keeps a new version after version `after` (undefined: there is none now) and makes it the present one; undefined where
     * somebody else was quicker. What is the same as the present version is not kept again.
     */
    async put(
      tenant: string,
      kind: BookKind,
      book: Pick<Book, 'id' | 'mediaType' | 'body'>,
      after: number | undefined,
    ): Promise<Pick<Book, 'version' | 'digest'> | undefined> {
      const { id, mediaType, body } = book;
      const digest = createHash('sha256').update(mediaType).update('\n').update(body).digest('base64url').slice(0, 22);
      const present = await this.one(tenant, kind, id);
      if (present?.version !== after) return undefined;
      if (present?.digest === digest) return { version: present.version, digest };
      const latest = (await this.versions(tenant, kind, id)).at(-1)?.version ?? 0;
      const version = latest + 1;
      const written = await database.write([
        {
          sql: `insert into book_version (tenant_id, kind, id, version, media_type, body, digest, created_at)
            values (?, ?, ?, ?, ?, ?, ?, ?) on conflict do nothing returning id`,
          values: [tenant, kind, id, version, mediaType, body, digest, now()],
          mustTouch: true,
        },
        {
          sql: `insert into book (tenant_id, kind, id, version) values (?, ?, ?, ?)
            on conflict (tenant_id, kind, id) do update set version = excluded.version`,
          values: [tenant, kind, id, version],
        },
        touchTenant(tenant),
      ]);
      return written === undefined ? undefined : { version, digest };
    },
    /** Takes it off the list; its versions stay. False where it is not there. */
    async remove(tenant: string, kind: BookKind, id: string): Promise<boolean> {
      const sql = 'delete from book where tenant_id = ? and kind = ? and id = ? returning id';
      const written = await database.write([{ sql, values: [tenant, kind, id], mustTouch: true }]);
      return written !== undefined;
    },
  };
}

function headOf(row: Row): Omit<Book, 'body'> {
  return {
    id: textOf(row, 'id'),
    version: numberOf(row, 'version'),
    mediaType: textOf(row, 'media_type'),
    digest: textOf(row, 'digest'),
    updated: textOf(row, 'updated_at' in row ? 'updated_at' : 'created_at'),
  };
}
