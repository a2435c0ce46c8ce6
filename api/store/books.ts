import { createHash } from 'node:crypto';
import { bytesOf, type Database, numberOf, textOf } from './database.ts';
import { touchTenant } from './sites.ts';

/** What a firm keeps beside its sites, by kind. */
export const BOOK_KINDS = ['rule-sets', 'price-books', 'firm-profiles', 'grids'] as const;
export type BookKind = (typeof BOOK_KINDS)[number];

export type Book = {
  readonly id: string;
  readonly mediaType: string;
  readonly body: Uint8Array<ArrayBuffer>;
  readonly digest: string;
  readonly updated: string;
};
export type BookEntry = Omit<Book, 'body'> & { readonly byteCount: number };

export type BookStore = ReturnType<typeof bookStore>;

/** Rule sets, price books, profiles of the firm and grids that sites name by id. */
export function bookStore(database: Database, now: () => string) {
  return {
    async list(tenant: string, kind: BookKind): Promise<BookEntry[]> {
      const sql = `select id, media_type, cast(length(body) as integer) as size, digest, updated_at from book
        where tenant_id = ? and kind = ? order by id`;
      return (await database.read(sql, [tenant, kind])).map((row) => ({
        id: textOf(row, 'id'),
        mediaType: textOf(row, 'media_type'),
        byteCount: numberOf(row, 'size'),
        digest: textOf(row, 'digest'),
        updated: textOf(row, 'updated_at'),
      }));
    },
    async one(tenant: string, kind: BookKind, id: string): Promise<Book | undefined> {
      const sql =
        'select id, media_type, body, digest, updated_at from book where tenant_id = ? and kind = ? and id = ?';
      const [row] = await database.read(sql, [tenant, kind, id]);
      if (row === undefined) return undefined;
      return {
        id: textOf(row, 'id'),
        mediaType: textOf(row, 'media_type'),
        body: bytesOf(row, 'body'),
        digest: textOf(row, 'digest'),
        updated: textOf(row, 'updated_at'),
      };
    },
    async put(tenant: string, kind: BookKind, book: Pick<Book, 'id' | 'mediaType' | 'body'>): Promise<void> {
      const digest = createHash('sha256').update(book.body).digest('base64url').slice(0, 22);
      await database.write([
        {
          sql: `insert into book (tenant_id, kind, id, media_type, body, digest, updated_at) values (?, ?, ?, ?, ?, ?, ?)
            on conflict (tenant_id, kind, id) do update set media_type = excluded.media_type, body = excluded.body,
              digest = excluded.digest, updated_at = excluded.updated_at`,
          values: [tenant, kind, book.id, book.mediaType, book.body, digest, now()],
        },
        touchTenant(tenant),
      ]);
    },
    /** False where there is none. */
    async remove(tenant: string, kind: BookKind, id: string): Promise<boolean> {
      const sql = 'delete from book where tenant_id = ? and kind = ? and id = ? returning id';
      const written = await database.write([{ sql, values: [tenant, kind, id], mustTouch: true }]);
      return written !== undefined;
    },
  };
}
